"""Screws and washers as the tables give them. All lengths in mm."""

import math
from dataclasses import dataclass, field
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from holdwright.catalogue.tables import NamedRow, Row, Size, Tag, Text, as_tuple, row

Fit = Literal["fine", "medium", "coarse"]
"""Series of clearance holes, by their names in ISO 273."""

HeadKind = Literal["socket_cap", "button", "flanged_button", "hex", "countersunk"]
"""Shapes of head; a countersunk one sits on a cone, the others on a flat seat at the bottom of a pocket."""

Profile = Literal["iso", "unified"]
"""Standard a thread's profile follows: ISO 68-1 or ASME B1.1."""

BARE_HEAD_ALLOWANCE = 2.0
"""Pocket wider than a bare head by this: 15, 18, 20 for M8, M10, M12, as row 1 of DIN 974-1 (from memory)."""

CONE_ALLOWANCE = 0.5
"""Countersink wider than a sharp countersunk head by this, so that the head lies in it: common practice."""

WASHER_ALLOWANCE = 1.0
"""Pocket wider than its washer by this: common practice for printing, no source."""

_LOST_PITCHES: dict[Profile, float] = {"iso": (0.6495191 + 1.2268693) / 2, "unified": 0.9743}
"""What the stress diameter is less than the nominal one, in pitches."""


@row
class Thread(NamedRow):
    """A row of a table of threads."""

    diameter: Size
    pitch: Size
    profile: Profile = "iso"

    @property
    def stress_area(self) -> float:
        """Area that bears tension, mm2.

        Notes
        -----
        ISO 898-1: pi / 4 ((d2 + d3) / 2)^2, with d2 = d - 0.6495191 P, d3 = d - 1.2268693 P. ASME B1.1: pi /
        4 (d - 0.9743 P)^2. Both from memory; M10 gives 57.99 and 3/8-16 gives 49.99 (0.0775 in2), as tables.
        """
        return math.pi / 4 * (self.diameter - _LOST_PITCHES[self.profile] * self.pitch) ** 2


@row
class ClearanceHole(Row):
    """A row of a table of clearance holes."""

    thread: Text
    fit: Fit
    diameter: Size


@row
class ScrewRow(NamedRow):
    """A row of a table of screws, as written; attributes as of `Head` and `Screw`."""

    standard: Text
    thread: Text
    head: HeadKind
    head_diameter: Size
    head_height: Size
    key: Size
    head_angle: Annotated[float, Field(ge=60.0, le=120.0)] | None = None
    bearing_diameter: Size | None = None
    tool_diameter: Size | None = None
    loadability: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0

    @model_validator(mode="after")
    def _cone(self) -> Self:
        if (self.head == "countersunk") != (self.head_angle is not None):
            raise ValueError("head_angle belongs to a countersunk head, and to no other")
        return self


@row
class ScrewLengths(NamedRow):
    """A row of a table of nominal lengths: of a countersunk screw with its head, of others without."""

    standard: Text
    thread: Text
    lengths: Annotated[tuple[Size, ...], BeforeValidator(as_tuple), Field(min_length=1)]


@row
class Washer(NamedRow):
    """A row of a table of washers.

    Attributes
    ----------
    hole, outer, thickness
        Nominal inner diameter, outer diameter and thickness.
    """

    standard: Text
    thread: Text
    hole: Size
    outer: Size
    thickness: Size

    @model_validator(mode="after")
    def _ring(self) -> Self:
        if self.hole >= self.outer:
            raise ValueError(f"hole {self.hole:g} is not smaller than outer {self.outer:g}")
        return self


@dataclass(frozen=True)
class Head:
    """A screw's head.

    Attributes
    ----------
    kind, diameter, height
        Its shape, greatest diameter (of a hexagon across corners, of a cone where it would be sharp) and
        greatest height.
    angle
        Full angle of a countersunk head's cone in degrees; None for any other.
    bearing
        Diameter of the face that presses on the seat.
    tool
        Diameter of the room the tool needs that turns it.
    """

    kind: HeadKind
    diameter: float
    height: float
    angle: float | None
    bearing: float
    tool: float


@dataclass(frozen=True)
class Screw:
    """A screw with all that boring for it and its joint need.

    Attributes
    ----------
    thread, d, pitch, profile, stress_area
        Thread's name, nominal diameter, pitch, profile and area that bears tension (mm2).
    head
        Shape and size of the head.
    key
        Size of the key across flats.
    clearance_holes
        Rows of the clearance holes for its thread, one for each fit.
    lengths
        Nominal lengths, shortest first: of a countersunk screw with its head, of others without.
    loadability
        Share of its strength class's forces it may bear, where its head is too weak for all of them.
    """

    name: str
    standard: str
    thread: str
    d: float
    pitch: float
    profile: Profile
    stress_area: float
    head: Head
    key: float
    clearance_holes: tuple[ClearanceHole, ...] = field(repr=False)
    lengths: tuple[float, ...] = field(repr=False)
    loadability: float
    source: str
    tag: Tag

    def clearance(self, fit: Fit) -> float:
        """Give the diameter of the clearance hole of one `fit`."""
        return next(hole.diameter for hole in self.clearance_holes if hole.fit == fit)


def pocket_diameter(screw: Screw, washer: Washer | None) -> float:
    """Diameter of the pocket for a head with its washer and tool, or for a bare head."""
    if screw.head.angle is not None:
        return screw.head.diameter + CONE_ALLOWANCE
    bare = max(screw.head.diameter + BARE_HEAD_ALLOWANCE, screw.head.tool)
    return bare if washer is None else max(washer.outer + WASHER_ALLOWANCE, bare)
