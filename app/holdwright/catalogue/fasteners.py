"""Screws and washers as the tables give them. All lengths in mm."""

from dataclasses import field
from typing import Annotated, Literal, Self

from pydantic import ConfigDict, Field, model_validator
from pydantic.dataclasses import dataclass

Fit = Literal["fine", "medium", "coarse"]
"""Series of clearance holes, by their names in ISO 273."""

HeadKind = Literal["socket_cap"]
"""Shapes of head that a seat can be cut for."""

Tag = Literal["S", "S2", "L", "P", "M", "C"]
"""How sure a row is: published source, seen through a secondary page, library, practice, memory, computed."""

Size = Annotated[float, Field(gt=0.0, lt=1000.0)]
Text = Annotated[str, Field(min_length=1)]

STRICT = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)

BARE_HEAD_ALLOWANCE = 2.0
"""Pocket wider than a bare head by this: 15, 18, 20 for M8, M10, M12, as row 1 of DIN 974-1 (from memory)."""

WASHER_ALLOWANCE = 1.0
"""Pocket wider than its washer by this: common practice for printing, no source."""


@dataclass(frozen=True, config=STRICT)
class Thread:
    """A row of a table of threads."""

    name: Text
    diameter: Size
    pitch: Size
    source: Text
    tag: Tag


@dataclass(frozen=True, config=STRICT)
class ClearanceHole:
    """A row of a table of clearance holes."""

    thread: Text
    fit: Fit
    diameter: Size
    source: Text
    tag: Tag


@dataclass(frozen=True, config=STRICT)
class ScrewRow:
    """A row of a table of screws, as written."""

    name: Text
    standard: Text
    thread: Text
    head: HeadKind
    head_diameter: Size
    head_height: Size
    key: Size
    source: Text
    tag: Tag


@dataclass(frozen=True, config=STRICT)
class Washer:
    """A row of a table of washers.

    Attributes
    ----------
    hole, outer, thickness
        Nominal inner diameter, outer diameter and thickness.
    """

    name: Text
    standard: Text
    thread: Text
    hole: Size
    outer: Size
    thickness: Size
    source: Text
    tag: Tag

    @model_validator(mode="after")
    def _ring(self) -> Self:
        if self.hole >= self.outer:
            raise ValueError(f"hole {self.hole:g} is not smaller than outer {self.outer:g}")
        return self


@dataclass(frozen=True)
class Head:
    """A screw's head: its shape, greatest diameter and greatest height."""

    kind: HeadKind
    diameter: float
    height: float


@dataclass(frozen=True)
class Screw:
    """A screw with all that boring for it needs.

    Attributes
    ----------
    thread, d, pitch
        Thread's name, nominal diameter and pitch.
    head
        Shape and size of the head.
    key
        Size of the key across flats.
    clearance_holes
        Rows of the clearance holes for its thread, one for each fit.
    """

    name: str
    standard: str
    thread: str
    d: float
    pitch: float
    head: Head
    key: float
    clearance_holes: tuple[ClearanceHole, ...] = field(repr=False)
    source: str
    tag: Tag

    def clearance(self, fit: Fit) -> float:
        """Give the diameter of the clearance hole of one `fit`."""
        return next(hole.diameter for hole in self.clearance_holes if hole.fit == fit)


def pocket_diameter(screw: Screw, washer: Washer | None) -> float:
    """Diameter of the pocket for a head with its washer, or for a bare head."""
    if washer is None:
        return screw.head.diameter + BARE_HEAD_ALLOWANCE
    return max(washer.outer + WASHER_ALLOWANCE, screw.head.diameter + BARE_HEAD_ALLOWANCE)
