"""The kinds of value an operation's parameters may have.

Each kind is a plain type with marks on it; `describe` reads the marks, so that form, schema, command line and
reference all come from one declaration.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Final

from pydantic import BaseModel, ConfigDict, Field

from holdwright.field_texts import add_field_texts


@dataclass(frozen=True)
class Kind:
    """Names the editor a value wants, and its unit."""

    name: str
    unit: str = ""


@dataclass(frozen=True)
class Relevant:
    """Marks a field that matters only while another field has one of some values."""

    field: str
    values: tuple[object, ...]


@dataclass(frozen=True)
class Rows:
    """Marks a text that names a row of a catalogue table ("screws", "washers")."""

    table: str


@dataclass(frozen=True)
class OnWall:
    """Marks an angle that is a direction on the wall: 0 to the right, 90 up. A mirrored hold mirrors it."""


@dataclass(frozen=True)
class OnSculpt:
    """Marks a height that is a place on the sculpt, over its lowest point: where that is scaled, so is it."""


@dataclass(frozen=True)
class ChoiceTexts:
    """Gives the words that people read for each value of a choice, in the order of its values."""

    texts: tuple[str, ...]


Length = Annotated[float, Kind("length", "mm")]
Angle = Annotated[float, Kind("angle", "deg")]
Direction = Annotated[Angle, OnWall()]
Share = Annotated[float, Kind("share"), Field(ge=0.0, le=1.0)]
Percent = Annotated[float, Kind("percent", "%")]
Number = Annotated[float, Kind("number")]
Count = Annotated[int, Kind("count")]
MOST_ENTRIES: Final = 1000
"""Picks or names in one parameter: a hold has some dozens of either."""

Names = Annotated[
    tuple[Annotated[str, Field(max_length=200)], ...], Kind("names"), Field(max_length=MOST_ENTRIES)
]
Position = Annotated[tuple[float, float], Kind("position", "mm")]
Coordinate = Annotated[float, Field(ge=-1e6, le=1e6)]
Vector = tuple[Coordinate, Coordinate, Coordinate]


class Parameters(BaseModel):
    """Base of every operation's parameters: never changed, nothing extra, nothing infinite."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, json_schema_extra=add_field_texts
    )


class SectionParameters(Parameters):
    """Base of a recipe's sections besides its steps: what the finished hold is judged and printed for."""

    name: ClassVar[str]
    title: ClassVar[str]
    version: ClassVar[int] = 1
    upgrades: ClassVar[Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]]] = {}
    """name, title, version, upgrades: as of an operation; the section of a recipe goes by the name."""


class PointPick(Parameters):
    """A place picked on the surface, in mm in the frame of the hold as it enters the step.

    Never a triangle's number, so that a pick can be put on a revised sculpt's surface.
    """

    point: Vector
    normal: Vector = (0.0, 0.0, 1.0)


Pick = Annotated[PointPick, Kind("pick", "mm")]
Picks = Annotated[tuple[PointPick, ...], Kind("picks", "mm"), Field(max_length=MOST_ENTRIES)]
