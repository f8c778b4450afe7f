"""A stepped hole through a hold, for a bolt or a wood screw: where it is and how wide."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.frustum import turn_to

_AT_SEAT = 1e-3
"""A point that lies less than this below the seat belongs to the pocket, mm."""


@dataclass(frozen=True)
class Hole:
    """A clearance hole with a wider pocket above its seat. Lengths in mm."""

    x: float
    y: float
    """Foot: where the axis meets the finished back, z = 0."""
    seat: float = 0.0
    """Distance of the seat from the foot, along the axis: of a countersink, where it begins to widen."""
    clearance_diameter: float = 0.0
    pocket_diameter: float = 0.0
    """Diameters of the hole below the seat and of the pocket above it; 0 for none."""
    ring_diameter: float = 0.0
    """Outer diameter of what presses on the seat: the washer, or the head itself."""
    axis: tuple[float, float, float] = (0.0, 0.0, 1.0)
    """Unit vector from the back outward."""
    cone_angle: float | None = None
    """Full angle in degrees of a countersink that widens from the clearance hole at the seat to the pocket;
    None for a flat seat."""
    slot: float = 0.0
    """How much longer than wide hole and pocket are; 0 for round ones."""
    slot_along: tuple[float, float, float] = (1.0, 0.0, 0.0)
    """Unit vector square to the axis along which they are longer."""

    @property
    def cone_height(self) -> float:
        """Height from the seat to where the countersink reaches the pocket; 0 for a flat seat."""
        if self.cone_angle is None:
            return 0.0
        wider = (self.pocket_diameter - self.clearance_diameter) / 2
        return wider / math.tan(math.radians(self.cone_angle / 2))

    @property
    def mouth(self) -> float:
        """Distance from the foot to where the pocket has its full width."""
        return self.seat + self.cone_height

    @property
    def upright(self) -> bool:
        """Whether the axis stands square on the back."""
        return self.axis == (0.0, 0.0, 1.0)

    @property
    def hole_radius(self) -> float:
        """Radius of the hole below the seat."""
        return self.clearance_diameter / 2

    @property
    def pocket_radius(self) -> float:
        """Radius of the pocket, at the ends of a slot."""
        return self.pocket_diameter / 2

    @property
    def pocket_reach(self) -> float:
        """How far the pocket goes from the axis at most."""
        return (self.pocket_diameter + self.slot) / 2

    @property
    def foot(self) -> tuple[float, float, float]:
        """Where the axis meets the finished back."""
        return (self.x, self.y, 0.0)

    @property
    def half_slot(self) -> Floats:
        """(3,) from the axis to the middle of one end of the slot."""
        return np.asarray(self.slot / 2 * np.array(self.slot_along))

    def on_axis(self, height: float) -> Floats:
        """Give the place (3,) at a distance from the foot along the axis."""
        return np.asarray(np.array(self.foot) + height * np.array(self.axis))

    def profile(self, low: float, top: float) -> list[tuple[float, float]]:
        """Radius and height of the hole's surface from `low` to `top` along the axis, upward."""
        hole, pocket = self.hole_radius, self.pocket_radius
        return [(hole, low), (hole, self.seat), (pocket, self.mouth), (pocket, top)]

    @cached_property
    def frame(self) -> Floats:
        """(4, 4) placement from the hold's frame into the hole's: foot at the origin, axis along +z."""
        turn = self.from_axis[:3, :3].T
        return placement(turn, -turn @ np.array(self.foot))

    @cached_property
    def from_axis(self) -> Floats:
        """(4, 4) placement the other way."""
        if self.axis[2] <= 0.0:
            raise GeometryError("The axis of a hole must point away from the wall; turn it round.")
        return placement(turn_to(np.array(self.axis)), np.array(self.foot))

    @cached_property
    def slot_way(self) -> tuple[float, float]:
        """Unit vector along the slot in the hole's frame."""
        way = self.frame[:2, :3] @ np.array(self.slot_along)
        first, second = (way / np.linalg.norm(way)).tolist()
        return first, second

    def away(self, x: Floats, y: Floats) -> Floats:
        """Distance of places in the hole's frame from the axis, or from the middle line of a slot."""
        if self.slot == 0.0:
            return np.asarray(np.hypot(x, y))
        first, second = self.slot_way
        beyond = np.abs(x * first + y * second) - self.slot / 2
        return np.asarray(np.hypot(np.maximum(beyond, 0.0), y * first - x * second))

    def seen_from(self, points: Floats) -> tuple[Floats, Floats]:
        """Give how far points (n, 3) are from the axis, or the middle line of the slot, and how high (n,)."""
        x, y, height = move_points(self.frame, points).T
        return self.away(x, y), height

    def on_surface(self, points: Floats, within: float = 0.01) -> Mask:
        """Give which points (n, 3) lie in the hole or within so many mm of its surface.

        The polygon that a circle is cut as is 0.02 % wider than the circle.
        """
        away, height = self.seen_from(points)
        hole, pocket = (radius * 1.0005 + within for radius in (self.hole_radius, self.pocket_radius))
        return np.asarray((away <= hole) | ((away <= pocket) & (height >= self.seat - _AT_SEAT)))
