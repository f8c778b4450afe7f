"""Screws and washers as the tables give them, put together and held against their threads. Lengths in mm."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from holdwright.catalogue.tables import NamedRow, Row, Size, Text, as_tuple, row
from holdwright.errors import CatalogueError

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
class _AnyScrew(NamedRow):
    standard: Text
    thread: Text
    key: Size
    loadability: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0


@row
class ScrewRow(_AnyScrew):
    """A row of a table of screws, as written; attributes as of `Head` and `Screw`."""

    head: HeadKind
    head_diameter: Size
    head_height: Size
    head_angle: Annotated[float, Field(ge=60.0, le=120.0)] | None = None
    bearing_diameter: Size | None = None
    tool_diameter: Size | None = None

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
    """A row of a table of washers."""

    standard: Text
    thread: Text
    hole: Size
    outer: Size
    thickness: Size
    """hole, outer, thickness: nominal inner diameter, outer diameter and thickness."""

    @model_validator(mode="after")
    def _ring(self) -> Self:
        if self.hole >= self.outer:
            raise ValueError(f"hole {self.hole:g} is not smaller than outer {self.outer:g}")
        return self


@dataclass(frozen=True)
class Head:
    """A screw's head."""

    kind: HeadKind
    diameter: float
    height: float
    """kind, diameter, height: its shape, greatest diameter (of a hexagon across corners, of a cone where it
    would be sharp) and greatest height."""
    angle: float | None
    """Full angle of a countersunk head's cone in degrees; None for any other."""
    bearing: float
    """Diameter of the face that presses on the seat."""
    tool: float
    """Diameter of the room the tool needs that turns it."""


@row
class Screw(_AnyScrew):
    """A screw with all that boring for it and its joint need.

    Attributes
    ----------
    d, pitch, profile, stress_area
        Nominal diameter, pitch, profile and area that bears tension (mm2) of its `thread`.
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

    d: float
    pitch: float
    profile: Profile
    stress_area: float
    head: Head
    clearance_holes: tuple[ClearanceHole, ...] = field(repr=False)
    lengths: tuple[float, ...] = field(repr=False)

    def clearance(self, fit: Fit) -> float:
        """Give the diameter of the clearance hole of one `fit`."""
        return next(hole.diameter for hole in self.clearance_holes if hole.fit == fit)


def assembled_screw(
    row: ScrewRow,
    threads: dict[str, Thread],
    holes: Sequence[ClearanceHole],
    lengths: Sequence[ScrewLengths],
) -> Screw:
    """Put a screw's row together with its thread, clearance holes and lengths.

    Raises
    ------
    CatalogueError
        When they are missing or do not fit together.
    """
    thread = thread_of(row.thread, threads, f"Screw '{row.name}'")
    own = tuple(hole for hole in holes if hole.thread == row.thread)
    if sorted(hole.fit for hole in own) != ["coarse", "fine", "medium"]:
        raise CatalogueError(
            f"Screw '{row.name}': the tables of clearance holes must have one fine, one medium and one "
            f"coarse row for {row.thread}, but have {', '.join(hole.fit for hole in own) or 'none'}."
        )
    if min(hole.diameter for hole in own) < thread.diameter or row.head_diameter <= thread.diameter:
        raise CatalogueError(
            f"Screw '{row.name}': its clearance hole or its head is narrower than its thread, "
            f"{thread.diameter:g} mm; sizes are in mm."
        )
    bearing = row.bearing_diameter or row.head_diameter
    sizes = row.head_diameter, row.head_height, row.head_angle, bearing, row.tool_diameter or 0.0
    return Screw(
        **{each.name: getattr(row, each.name) for each in fields(_AnyScrew)},
        d=thread.diameter,
        pitch=thread.pitch,
        profile=thread.profile,
        stress_area=thread.stress_area,
        head=Head(row.head, *sizes),
        clearance_holes=own,
        lengths=_lengths_of(row, lengths),
    )


def thread_of(name: str, threads: dict[str, Thread], whose: str) -> Thread:
    """Look up the thread of a row.

    Raises
    ------
    CatalogueError
        When there is none of that name.
    """
    if name not in threads:
        raise CatalogueError(f"{whose}, field 'thread': no row '{name}' in the tables of threads.")
    return threads[name]


def check_washer(row: Washer, threads: dict[str, Thread]) -> None:
    """Refuse a washer that does not go over its thread, as one written in inches would not.

    Raises
    ------
    CatalogueError
        Naming row and field.
    """
    thread = thread_of(row.thread, threads, f"Washer '{row.name}'")
    if row.hole < thread.diameter:
        raise CatalogueError(
            f"Washer '{row.name}', field 'hole': {row.hole:g} does not go over its thread of "
            f"{thread.diameter:g} mm; sizes are in mm."
        )


def _lengths_of(row: ScrewRow, tables: Sequence[ScrewLengths]) -> tuple[float, ...]:
    own = [table for table in tables if (table.standard, table.thread) == (row.standard, row.thread)]
    lengths = sorted({length for table in own for length in table.lengths})
    if not lengths:
        raise CatalogueError(
            f"Screw '{row.name}': the tables of screw lengths have no row for {row.standard} {row.thread}."
        )
    return tuple(lengths)


def pocket_diameter(screw: Screw, washer: Washer | None) -> float:
    """Diameter of the pocket for a head with its washer and tool, or for a bare head."""
    if screw.head.angle is not None:
        return screw.head.diameter + CONE_ALLOWANCE
    bare = max(screw.head.diameter + BARE_HEAD_ALLOWANCE, screw.head.tool)
    return bare if washer is None else max(washer.outer + WASHER_ALLOWANCE, bare)
