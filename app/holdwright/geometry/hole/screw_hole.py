"""A countersunk hole for a wood screw: its shape, its cutter and the cut."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import connected, reassembled
from holdwright.geometry.mesh.circle import SEGMENTS, area_true_radius
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.frustum import turn_to
from holdwright.geometry.mesh.solid import Solid

SLIVER = 0.02
"""A piece that the hole cuts loose is dropped when it is less than this share of the hold."""

_ROUNDING = 1e-9
"""Share of the hold's volume that rounding may cost."""


@dataclass(frozen=True)
class ScrewShape:
    """A countersunk hole, lengths in mm.

    Attributes
    ----------
    x, y
        Foot: where the axis meets the finished back, z = 0.
    axis
        Unit vector from the back outward.
    hole_diameter, head_diameter
        Of the hole for the shank, and of the pocket that takes the head: the countersink's mouth.
    cone_angle
        Full angle of the countersink, degrees.
    seat
        Distance from the foot, along the axis, to where the countersink begins to widen.
    """

    x: float
    y: float
    axis: tuple[float, float, float]
    hole_diameter: float
    head_diameter: float
    cone_angle: float
    seat: float = 0.0

    @property
    def cone_height(self) -> float:
        """Height of the countersink along the axis, mm."""
        wider = (self.head_diameter - self.hole_diameter) / 2.0
        return wider / math.tan(math.radians(self.cone_angle / 2.0))

    @property
    def mouth(self) -> float:
        """Distance from the foot to where the countersink has the head's diameter, mm."""
        return self.seat + self.cone_height

    @property
    def foot(self) -> Floats:
        """(3,) on the finished back."""
        return np.array([self.x, self.y, 0.0])

    def on_axis(self, height: float) -> Floats:
        """Give the place (3,) at a height along the axis."""
        return np.asarray(self.foot + height * np.array(self.axis))

    @cached_property
    def from_axis(self) -> Floats:
        """(4, 4) placement from the hole's frame, foot at the origin and axis along +z, into the hold's."""
        return placement(turn_to(np.array(self.axis)), self.foot)

    @cached_property
    def to_axis(self) -> Floats:
        """(4, 4) placement the other way."""
        turn = turn_to(np.array(self.axis)).T
        return placement(turn, -turn @ self.foot)


@dataclass(frozen=True, eq=False)
class ScrewCut:
    """What cutting gave.

    Attributes
    ----------
    solid
        The hold with the hole in it.
    removed
        Volume taken out by the cutter, mm3, without what came loose.
    dropped, loose
        Volume (mm3) and middle of the pieces that came loose: slivers, dropped, and larger ones, kept.
    """

    solid: Solid
    removed: float
    dropped: tuple[tuple[float, Floats], ...] = ()
    loose: tuple[tuple[float, Floats], ...] = ()


def screw_cutter(shape: ScrewShape, low: float, top: float) -> Solid:
    """Turn the solid that a hole takes away, from `low` to `top` along the axis, mm from the foot.

    Each circle is a polygon of its AREA, so that volumes agree with Pappus (area of the profile times the
    path of its centroid) to rounding.

    Raises
    ------
    GeometryError
        When the sizes are out of order.
    """
    hole, head = shape.hole_diameter / 2.0, shape.head_diameter / 2.0
    if not (0.0 < hole < head and low < shape.seat and shape.mouth < top):
        raise GeometryError(
            "A screw hole needs 0 < hole < head and its countersink within the hold, but was asked for "
            f"a hole of {shape.hole_diameter:.2f} mm, a head of {shape.head_diameter:.2f} mm and a "
            f"countersink from {shape.seat:.2f} to {shape.mouth:.2f} mm between {low:.2f} "
            f"and {top:.2f}; change them."
        )
    profile = np.array(
        [(0.0, low), (hole, low), (hole, shape.seat), (head, shape.mouth), (head, top), (0.0, top)]
    )
    profile[:, 0] *= area_true_radius(1.0)
    turned = Manifold.revolve(CrossSection([profile]), SEGMENTS)
    return Solid.checked(turned.transform(shape.from_axis[:3]), "the cutter of the screw hole")


def cut_screw_hole(solid: Solid, shape: ScrewShape, top: float) -> ScrewCut:
    """Cut a hole from below the back up to `top`, mm from the foot along the axis.

    Raises
    ------
    GeometryError
        When the hole misses the hold, leaves nothing of it, or the kernel's volumes do not add up.
    """
    within, without = solid.kernel.split(screw_cutter(shape, _below(solid, shape), top).kernel)
    if within.num_tri() == 0:
        raise GeometryError(
            f"There is no material for a screw hole at x {shape.x:.1f}, y {shape.y:.1f} mm; choose another "
            "place."
        )
    cut, taken = Solid.checked(without, "the hold with its screw hole"), float(within.volume())
    if abs(solid.volume - cut.volume - taken) > _ROUNDING * solid.volume:
        raise GeometryError(
            f"The screw hole took {solid.volume - cut.volume:.3f} mm3 where its shape has {taken:.3f} mm3 in "
            "common with the hold; move it a little."
        )
    return _sorted(solid, cut, taken)


def _below(solid: Solid, shape: ScrewShape) -> float:
    """Give a height along the axis at which all of the hole is below the solid."""
    upright = shape.axis[2]
    lean_out = math.sqrt(max(1.0 - upright * upright, 0.0))
    lowest = min(float(solid.bounds[0, 2]), 0.0)
    return (lowest - 1.0 - lean_out * shape.hole_diameter) / upright


def _sorted(before: Solid, cut: Solid, taken: float) -> ScrewCut:
    """Drop small pieces that came loose; what was apart before stays."""
    pieces = cut.kernel.decompose()
    if len(pieces) == 1:
        return ScrewCut(cut, taken)
    known = {_likeness(piece) for piece in connected(before)}
    new = [piece for piece in connected(cut) if _likeness(piece) not in known][1:]
    small = [piece for piece in new if piece.volume < SLIVER * cut.volume]
    loose = tuple(_told(piece) for piece in new if piece.volume >= SLIVER * cut.volume)
    if not small:
        return ScrewCut(cut, taken, (), loose)
    gone = {_likeness(piece) for piece in small}
    kept = [piece for piece in pieces if _likeness(Solid(piece)) not in gone]
    return ScrewCut(
        Solid.checked(reassembled(kept), "the hold without what the screw hole cut loose"),
        taken,
        tuple(_told(piece) for piece in small),
        loose,
    )


def _likeness(piece: Solid) -> tuple[float, ...]:
    return tuple(np.round([piece.volume, *piece.bounds.reshape(-1)], 6).tolist())


def _told(piece: Solid) -> tuple[float, Floats]:
    return piece.volume, np.asarray(piece.bounds.mean(axis=0))
