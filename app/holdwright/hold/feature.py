"""What was done to a hold that later steps, the report and the picture need to know, in mm."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.sections import inside, signed_area
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.relief.pocket import ReliefRequest, grown, meets
from holdwright.hold.finding import Point, point
from holdwright.hold.placed import FeatureOnBack, PlacedFeature, PlaneFeature


@dataclass(frozen=True)
class GroundBlock(PlaneFeature):
    """The slab the sculpt stood on, left out on import: evidence of where the back is.

    The plane is the block's face toward the sculpt, at its centre; its normal points into the sculpt.
    """

    name: str


@dataclass(frozen=True)
class BackPlane(PlaneFeature):
    """The plane picked for the back: the finished back lies on it, or above where it cannot.

    Its normal points out of the hold.
    """


@dataclass(frozen=True)
class FoundBack(PlaneFeature):
    """Where the scale step found the finished back to be, so that the trim puts it there."""

    others: tuple[Point, ...] = ()
    """Places on further planes that would do."""
    joined: bool = False
    """Whether the bodies in front of it hang together by what the rim takes up, so that this stays."""

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a similarity."""
        others = tuple(point(move_points(matrix, np.array(each))) for each in self.others)
        return replace(super().moved(matrix), others=others)


@dataclass(frozen=True)
class Envelope(PlacedFeature):
    """The size requested."""

    rule: str
    """Either "circle", "box", "width", "height", "depth" or "factor"."""
    asked: tuple[float, ...]
    """Diameter for a circle; limits along x, y, z for a box (0: none); one figure otherwise."""
    circle: float
    """Diameter of the smallest circle round the silhouette along the wall normal of what was measured."""
    size: Point
    """Its extent along x, y, z."""
    factor: float
    """What the step multiplied lengths by."""
    shrinkage_percent: float = 0.0
    """Shrinkage allowance, applied on export alone, never to these figures."""
    finished: bool = False
    """Whether what the trim leaves is to have this size, not all of the sculpt."""


@dataclass(frozen=True)
class Rim(PlacedFeature):
    """The flat back and the straight edge round it. The finished back is z = 0."""

    height: float
    """Height of the straight rim above the finished back."""
    allowance: float
    """Stock left below z = 0 to be sanded off."""
    chamfer: float
    """Leg of the 45 degree chamfer of the back edge."""
    area: float
    """Area of the finished back, mm2."""
    islands: int
    """Separate outlines of the back."""
    holes: int
    """Holes in those outlines."""
    candidates: tuple[float, ...] = ()
    """Heights of cuts that were weighed, above the point that was lowest, the chosen one first."""


@dataclass(frozen=True)
class TipCut(PlacedFeature):
    """A tip cut blunt."""

    place: Point
    normal: Point
    width: float
    """Width of the face cut."""
    removed_mm3: float
    _places, _directions = ("place",), ("normal",)


@dataclass(frozen=True)
class Bore(FeatureOnBack):
    """A bolt's hole with its seat and the pocket above it."""

    clearance_diameter: float
    """Of the hole for the shank."""
    pocket_diameter: float
    """Of the pocket for head and washer."""
    seat_z: float
    """Height of the seat above the finished back, along z."""
    thickness_under_seat: float
    """Least thickness between seat and finished back."""
    screw: str
    """Name of the catalogue row."""
    washer: str | None
    """Name of the catalogue row; None for a bare head."""
    cone_angle: float | None = None
    """Full angle in degrees of the countersink above the seat; None for a flat seat."""
    slot: float = 0.0
    """How much longer than wide hole and pocket are, for a bolt anywhere along it; 0 for round ones."""
    slot_along: Point = (1.0, 0.0, 0.0)
    """Unit vector square to the axis along which they are longer."""
    wall: float | None = None
    """Least thickness round hole and pocket, square to the axis; None where it was not measured."""
    allowance: float = 0.0
    """What hole and pocket are wider by, as holes print narrow."""
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

    def over(self, pocket: "BackPocket") -> "Bore":
        """Give the bore as it is over a pocket in the back: where that goes on under its seat, thinner."""
        if not meets(pocket.drawn, self.hole):
            return self
        return replace(self, thickness_under_seat=min(self.thickness_under_seat, self.seat_z - pocket.depth))

    @property
    def tilt(self) -> float:
        """Angle in degrees by which the axis leans from square to the wall."""
        return math.degrees(math.atan2(math.hypot(self.axis[0], self.axis[1]), self.axis[2]))


@dataclass(frozen=True)
class ScrewHole(FeatureOnBack):
    """A countersunk hole for a wood screw, which stops the hold from turning."""

    diameter: float
    """Of the hole for the shank."""
    head_diameter: float
    """Of the pocket that takes the head: the mouth of the countersink."""
    cone_angle: float
    """Full angle of the countersink in degrees."""
    seat: float
    """Distance from the foot, along the axis, to where the countersink begins to widen."""
    thickness_under_head: float
    """Least thickness between countersink and finished back."""
    screw: str
    """Name of the catalogue row."""
    allowance: float = 0.0
    """What hole and head's pocket are wider by, as holes print narrow."""

    @property
    def hole(self) -> Hole:
        """Its shape: the head lies in the pocket above the countersink."""
        sizes = self.diameter, self.head_diameter, self.head_diameter
        return Hole(self.x, self.y, self.seat, *sizes, self.axis, self.cone_angle)


@dataclass(frozen=True)
class BackPocket(PlacedFeature):
    """The pocket that relieves the finished back."""

    depth: float
    """From the finished back on z = 0 to its ceiling."""
    land: float
    """Width of the land along the outline of the back."""
    area: float
    """Area of the pocket, mm2."""
    outlines: tuple[tuple[tuple[float, float], ...], ...]
    """Closed outlines of it; those round what stands in it run clockwise."""

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a rigid move that keeps the back on z = 0."""
        moved = [move_points(matrix, np.pad(each, ((0, 0), (0, 1))))[:, :2] for each in self.drawn]
        return replace(self, outlines=tuple(tuple(map(tuple, each.tolist())) for each in moved))

    @classmethod
    def of(cls, outlines: Sequence[Floats], request: ReliefRequest) -> "BackPocket":
        """Record a pocket of these outlines (n, 2)."""
        listed = tuple(tuple((x, y) for x, y in outline.tolist()) for outline in outlines)
        return cls(request.depth, request.land, sum(map(signed_area, outlines)), listed)

    @property
    def drawn(self) -> list[Floats]:
        """Its outlines (n, 2)."""
        return [np.array(each) for each in self.outlines]

    def on_surface(self, points: Floats, within: float = 0.01) -> Mask:
        """Give which points (n, 3) lie in the pocket or within so many mm of its surface."""
        found = np.asarray(points[:, 2] <= self.depth + within)
        found[found] = inside(points[found, :2], grown(self.drawn, within))
        return found


@dataclass(frozen=True)
class Engraving(PlacedFeature):
    """Letters cut into the finished back, or into the ceiling of the pocket that relieves it."""

    text: tuple[str, ...]
    """Its lines, as read by who looks at the back."""
    height: float
    """Of a capital."""
    depth: float
    """Of the cut."""
    stroke: float
    """Width of the narrowest stroke."""
    size: tuple[float, float]
    """Width and height of all lines together, with the arrow."""
    x: float
    y: float
    """Middle of the letters, with x."""
    top: float
    """Height of their ground above the finished back."""

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a rigid move that keeps the back on z = 0."""
        x, y, _ = move_points(matrix, np.array([self.x, self.y, 0.0])).tolist()
        return replace(self, x=x, y=y)


@dataclass(frozen=True)
class PartingFace(FeatureOnBack):
    """The tapered face between shell and core."""

    wall_diameter: float
    """Of the core at the finished back."""
    top_diameter: float
    """Of the core at its top."""
    top: float
    """Height of the core's top along the axis."""


@dataclass(frozen=True)
class Collar(FeatureOnBack):
    """The solid cylinder round a screw hole, a part of the core."""

    diameter: float
    top: float
    """Height of its top along the axis, or of the surface where that is lower."""


Feature = (
    GroundBlock
    | BackPlane
    | FoundBack
    | Envelope
    | Rim
    | TipCut
    | Bore
    | ScrewHole
    | BackPocket
    | Engraving
    | PartingFace
    | Collar
)
