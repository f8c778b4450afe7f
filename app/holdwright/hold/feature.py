"""What was done to a hold that later steps, the report and the picture need to know, in mm."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Literal, Self

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.frame import move_direction, move_points
from holdwright.hold.finding import Point, point


@dataclass(frozen=True)
class _Placed:
    """Something whose places and directions, named here, follow the hold."""

    _places: ClassVar[tuple[str, ...]] = ()
    _directions: ClassVar[tuple[str, ...]] = ()

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a similarity, a rigid one that keeps z = 0 for what stands on the back."""
        changes: dict[str, Any] = {
            name: point(move_points(matrix, np.array(getattr(self, name)))) for name in self._places
        }
        for name in self._directions:
            changes[name] = point(move_direction(matrix, np.array(getattr(self, name))))
        return replace(self, **changes)


@dataclass(frozen=True)
class _OnBack(_Placed):
    """Something about an axis that starts on the finished back.

    Attributes
    ----------
    x, y
        Where the axis meets the finished back.
    axis
        Unit vector from the back outward.
    """

    x: float
    y: float
    axis: Point
    _directions: ClassVar[tuple[str, ...]] = ("axis",)

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a rigid move that keeps the back on z = 0."""
        x, y, _ = move_points(matrix, np.array([self.x, self.y, 0.0])).tolist()
        return replace(super().moved(matrix), x=x, y=y)


@dataclass(frozen=True)
class _Plane(_Placed):
    """A plane with a side.

    Attributes
    ----------
    point
        Of the plane.
    normal
        Its unit normal.
    """

    point: Point
    normal: Point
    _places, _directions = ("point",), ("normal",)


@dataclass(frozen=True)
class GroundBlock(_Plane):
    """The slab the sculpt stood on, left out on import: evidence of where the back is.

    The plane is the block's face toward the sculpt, at its centre; its normal points into the sculpt.
    """

    name: str
    kind: Literal["ground_block"] = "ground_block"


@dataclass(frozen=True)
class BackPlane(_Plane):
    """The plane picked for the back: the finished back lies on it, or above where it cannot.

    Its normal points out of the hold.
    """

    kind: Literal["back_plane"] = "back_plane"


@dataclass(frozen=True)
class FoundBack(_Plane):
    """Where the scale step found the finished back to be, so that the trim puts it there.

    Attributes
    ----------
    others
        Places on further planes that would do.
    joined
        Whether the bodies in front of it hang together by what the rim takes up, so that this stays.
    """

    others: tuple[Point, ...] = ()
    joined: bool = False
    kind: Literal["found_back"] = "found_back"

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a similarity."""
        others = tuple(point(move_points(matrix, np.array(each))) for each in self.others)
        return replace(super().moved(matrix), others=others)


@dataclass(frozen=True)
class Envelope(_Placed):
    """The size requested.

    Attributes
    ----------
    rule
        "circle", "box", "width", "height", "depth" or "factor".
    asked
        Diameter for a circle; limits along x, y, z for a box (0: none); one figure otherwise.
    circle
        Diameter of the smallest circle round the silhouette along the wall normal of what was measured.
    size
        Its extent along x, y, z.
    factor
        What the step multiplied lengths by.
    shrinkage_percent
        Shrinkage allowance, applied on export alone, never to these figures.
    finished
        Whether what the trim leaves was measured, not all of the sculpt.
    """

    rule: str
    asked: tuple[float, ...]
    circle: float
    size: Point
    factor: float
    shrinkage_percent: float = 0.0
    finished: bool = False
    kind: Literal["envelope"] = "envelope"


@dataclass(frozen=True)
class Rim(_Placed):
    """The flat back and the straight edge round it. The finished back is z = 0.

    Attributes
    ----------
    height
        Height of the straight rim above the finished back.
    allowance
        Stock left below z = 0 to be sanded off.
    chamfer
        Leg of the 45 degree chamfer of the back edge.
    area
        Area of the finished back, mm2.
    islands, holes
        Number of separate outlines and of holes in them.
    candidates
        Heights of cuts that were weighed, above the point that was lowest, the chosen one first.
    """

    height: float
    allowance: float
    chamfer: float
    area: float
    islands: int
    holes: int
    candidates: tuple[float, ...] = ()
    kind: Literal["rim"] = "rim"


@dataclass(frozen=True)
class TipCut(_Placed):
    """A dangerous tip cut blunt."""

    place: Point
    normal: Point
    width: float
    removed_mm3: float
    kind: Literal["tip_cut"] = "tip_cut"
    _places, _directions = ("place",), ("normal",)


@dataclass(frozen=True)
class Bore(_OnBack):
    """A bolt's hole with its seat and the pocket above it.

    Attributes
    ----------
    clearance_diameter, pocket_diameter
        Diameters of the hole for the shank and of the pocket for head and washer.
    seat_z
        Height of the seat above the finished back, along z.
    thickness_under_seat
        Least thickness between seat and finished back.
    screw, washer
        Names of the catalogue rows; washer None for a bare head.
    cone_angle
        Full angle in degrees of the countersink above the seat; None for a flat seat.
    slot
        How much longer than wide hole and pocket are, so that the bolt can stand anywhere along it; 0 for a
        round hole.
    slot_along
        Unit vector square to the axis along which they are longer.
    """

    clearance_diameter: float
    pocket_diameter: float
    seat_z: float
    thickness_under_seat: float
    screw: str
    washer: str | None
    kind: Literal["bore"] = "bore"
    cone_angle: float | None = None
    slot: float = 0.0
    slot_along: Point = (1.0, 0.0, 0.0)
    _directions = ("axis", "slot_along")

    @property
    def seat(self) -> float:
        """Distance from the foot to the seat, along the axis, mm."""
        return self.seat_z / self.axis[2]

    @property
    def hole(self) -> Hole:
        """Its shape; nothing is known any more of what presses on its seat.

        Raises
        ------
        GeometryError
            When its seat is not above the finished back.
        """
        if self.axis[2] <= 0.0 or self.seat_z <= 0.0:
            raise GeometryError(
                f"The bore at ({self.x:.1f}, {self.y:.1f}) mm has no seat above the finished back; bore it "
                "anew."
            )
        sizes = self.clearance_diameter, self.pocket_diameter, self.pocket_diameter
        slot = self.slot, self.slot_along
        return Hole(self.x, self.y, self.seat, *sizes, self.axis, self.cone_angle, *slot)

    @property
    def tilt(self) -> float:
        """Angle in degrees by which the axis leans from square to the wall."""
        return math.degrees(math.atan2(math.hypot(self.axis[0], self.axis[1]), self.axis[2]))


@dataclass(frozen=True)
class ScrewHole(_OnBack):
    """A countersunk hole for a wood screw that stops the hold from turning.

    Attributes
    ----------
    diameter
        Of the hole for the shank.
    head_diameter
        Of the pocket that takes the head: the mouth of the countersink.
    cone_angle
        Full angle of the countersink in degrees.
    seat
        Distance from the foot, along the axis, to where the countersink begins to widen.
    thickness_under_head
        Least thickness between countersink and finished back.
    screw
        Name of the catalogue row.
    """

    diameter: float
    head_diameter: float
    cone_angle: float
    seat: float
    thickness_under_head: float
    screw: str
    kind: Literal["screw_hole"] = "screw_hole"

    @property
    def hole(self) -> Hole:
        """Its shape: the head lies in the pocket above the countersink."""
        sizes = self.diameter, self.head_diameter, self.head_diameter
        return Hole(self.x, self.y, self.seat, *sizes, self.axis, self.cone_angle)


@dataclass(frozen=True)
class PartingFace(_OnBack):
    """The tapered face between shell and core.

    Attributes
    ----------
    wall_diameter, top_diameter
        Core diameters at the finished back and at its top.
    top
        Height of the core's top above the finished back, along the axis.
    """

    wall_diameter: float
    top_diameter: float
    top: float
    kind: Literal["parting_face"] = "parting_face"


@dataclass(frozen=True)
class Collar(_OnBack):
    """The solid cylinder round a screw hole, a part of the core.

    Attributes
    ----------
    diameter
        Its own.
    top
        How far along the axis it goes, or to the surface where that comes first.
    """

    diameter: float
    top: float
    kind: Literal["collar"] = "collar"


Feature = (
    GroundBlock | BackPlane | FoundBack | Envelope | Rim | TipCut | Bore | ScrewHole | PartingFace | Collar
)


def holes(features: Iterable[Feature]) -> list[Hole]:
    """Give all that was cut through a hold, in order: none of it is grip surface."""
    return [feature.hole for feature in features if isinstance(feature, Bore | ScrewHole)]
