"""Reads a parameters class into a list any form, table or command line can work from."""

import types
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

import annotated_types
from pydantic.fields import FieldInfo

from holdwright.field_texts import field_texts
from holdwright.parameters.kinds import ChoiceTexts, Kind, OnSculpt, OnWall, Parameters, Relevant, Rows

T = TypeVar("T")

_PLAIN_KINDS: dict[object, str] = {bool: "switch", int: "count", float: "number", str: "text"}


@dataclass(frozen=True)
class FieldDescription:
    """One parameter, as people and forms need to know it."""

    name: str
    """As it stands in recipes."""
    kind: str
    """Which editor it wants: "length", "angle", "share", "percent", "number", "count", "names", "position",
    "pick", "picks", "switch" (yes or no), "choice" (one of `choices`), "row" (a row of the table `rows`) or
    "text"."""
    title: str
    description: str
    """title, description: for people: two or three words, and a sentence."""
    unit: str = ""
    """One of "mm", "deg", "%" or blank."""
    minimum: float | None = None
    maximum: float | None = None
    """minimum, maximum: least and greatest value allowed, or None. Where the limit itself is refused,
    `minimum_open` or `maximum_open` is True."""
    minimum_open: bool = False
    maximum_open: bool = False
    choices: tuple[object, ...] = ()
    """Values of a choice, in the order to show them."""
    choice_texts: tuple[str, ...] = ()
    """What people read for each of them; empty where the values are words themselves."""
    default: object = None
    """Value where the recipe gives none."""
    optional: bool = False
    """Whether None is a value."""
    relevant: Relevant | None = None
    """The field and its values for which this one matters; None: always."""
    rows: str | None = None
    """Catalogue table a "row" is chosen from."""
    on_wall: bool = False
    """Whether an angle is a direction on the wall: 0 to the right, 90 up."""
    on_sculpt: bool = False
    """Whether a height is a place on the sculpt, over its lowest point."""


def describe(parameters: type[Parameters]) -> tuple[FieldDescription, ...]:
    """Describe every field of a parameters class, in the order it declares them."""
    return _described_once(parameters)


@cache
def _described_once(parameters: type[Parameters]) -> tuple[FieldDescription, ...]:
    texts = field_texts(parameters)
    return tuple(
        _described(name, field, field.description or texts.get(name, ""))
        for name, field in parameters.model_fields.items()
    )


def is_relevant(field: FieldDescription, parameters: Parameters) -> bool:
    """Say whether a field matters, given the values of the others."""
    if field.relevant is None:
        return True
    return getattr(parameters, field.relevant.field) in field.relevant.values


def schema_of(parameters: type[Parameters]) -> dict[str, Any]:
    """Give the JSON schema of a parameters class, with kind, unit and relevance beside each field."""
    schema = parameters.model_json_schema()
    for field in describe(parameters):
        entry = schema["properties"][field.name]
        entry |= {"description": field.description, "kind": field.kind}
        if field.unit:
            entry["unit"] = field.unit
        if field.rows:
            entry["rows"] = field.rows
        if field.relevant:
            entry["relevant"] = {"field": field.relevant.field, "values": list(field.relevant.values)}
    return schema


def differences(old: Parameters, new: Parameters) -> tuple[str, ...]:
    """Say what changed from `old` to `new`, one text for each field, such as "seat depth 18 -> 22 mm"."""
    if old == new:
        return ()
    texts = []
    for field in describe(type(new)):
        before, after = getattr(old, field.name, None), getattr(new, field.name)
        if before != after:
            texts.append(_difference(field, before, after))
    return tuple(texts)


def value_text(field: FieldDescription, value: object) -> str:
    """Write a value as people read it, without its unit."""
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    if field.choice_texts and value in field.choices:
        return field.choice_texts[field.choices.index(value)]
    if isinstance(value, float):
        return f"{value:.6g}"
    if field.kind in ("pick", "picks"):
        return _picks_text(value)
    if isinstance(value, tuple):
        return ", ".join(f"{part:.6g}" if isinstance(part, float) else str(part) for part in value) or "none"
    return str(value)


def _difference(field: FieldDescription, before: object, after: object) -> str:
    title = field.title[:1].lower() + field.title[1:]
    unit = f" {field.unit}" if field.unit and isinstance(after, int | float) else ""
    return f"{title} {value_text(field, before)} -> {value_text(field, after)}{unit}"


def _picks_text(value: Any) -> str:
    if isinstance(value, tuple):
        return f"{len(value)} place{'' if len(value) == 1 else 's'}"
    return "(" + ", ".join(f"{coordinate:.4g}" for coordinate in value.point) + ")"


def _described(name: str, field: FieldInfo, description: str) -> FieldDescription:
    plain, marks, optional = _unwrapped(field)
    minimum, minimum_open = _limit(marks, "ge", "gt")
    maximum, maximum_open = _limit(marks, "le", "lt")
    kind = _first(marks, Kind)
    rows, texts = _first(marks, Rows), _first(marks, ChoiceTexts)
    return FieldDescription(
        name=name,
        kind=_kind_name(name, plain, kind, rows),
        title=field.title or name.replace("_", " "),
        description=" ".join(description.split()),
        unit=kind.unit if kind else "",
        minimum=minimum,
        maximum=maximum,
        minimum_open=minimum_open,
        maximum_open=maximum_open,
        choices=get_args(plain) if get_origin(plain) is Literal else (),
        choice_texts=texts.texts if texts else (),
        default=field.get_default(call_default_factory=True, validated_data={}),
        optional=optional,
        relevant=_first(marks, Relevant),
        rows=rows.table if rows else None,
        on_wall=_first(marks, OnWall) is not None,
        on_sculpt=_first(marks, OnSculpt) is not None,
    )


def _unwrapped(field: FieldInfo) -> tuple[object, list[object], bool]:
    """Give the bare type, the marks on it from outermost to innermost, and whether it may be None."""
    plain: object = field.annotation
    marks: list[object] = list(_spread(field.metadata))
    optional = False
    while True:
        if get_origin(plain) is Annotated:
            plain, *inner = get_args(plain)
            marks += _spread(inner)
        elif get_origin(plain) in (Union, types.UnionType):
            others = [part for part in get_args(plain) if part is not types.NoneType]
            optional = optional or len(others) < len(get_args(plain))
            plain = _joined(others)
        else:
            return plain, marks, optional


def _joined(parts: list[object]) -> object:
    """Make one type of those in a union: choices beside choices are one longer choice."""
    if len(parts) > 1 and all(get_origin(part) is Literal for part in parts):
        return Literal[tuple(choice for part in parts for choice in get_args(part))]
    if len(parts) != 1:
        raise TypeError(f"A parameter may be of one type, or None, not of several: {parts}.")
    return parts[0]


def _spread(marks: Any) -> Iterator[object]:
    """Take `Field(...)` marks inside a type apart into their own."""
    for mark in marks:
        if isinstance(mark, FieldInfo):
            yield from mark.metadata
        elif isinstance(mark, annotated_types.GroupedMetadata):
            yield from mark
        else:
            yield mark


def _first(marks: list[object], kind: type[T]) -> T | None:
    return next((mark for mark in marks if isinstance(mark, kind)), None)


def _limit(marks: list[object], closed: str, opened: str) -> tuple[float | None, bool]:
    for mark in marks:
        for attribute, is_open in ((closed, False), (opened, True)):
            limit = getattr(mark, attribute, None)
            if limit is not None:
                return float(limit), is_open
    return None, False


def _kind_name(name: str, plain: object, kind: Kind | None, rows: Rows | None) -> str:
    if rows is not None:
        return "row"
    if kind is not None:
        return kind.name
    if get_origin(plain) is Literal:
        return "choice"
    if plain in _PLAIN_KINDS:
        return _PLAIN_KINDS[plain]
    raise TypeError(f"The parameter {name} has no Kind mark, and none is known for {plain}.")
