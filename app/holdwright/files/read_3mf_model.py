"""The model part of a 3MF package: objects made of a mesh or of components, and what is to be built of them.

Rows of a mesh are read in bulk where all look alike, else one by one. Source: 3MF Core Specification 1.3, 3
(coordinates and units) and 4 (objects). Metadata, materials and colours are passed over.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.files.numbers import NUMBER_LETTERS, number, scan_floats, scan_table
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats
from holdwright.units import LengthUnit

_BLANKS = bytes.maketrans(b"\t\r\n", b"   ")
_COLOURS = re.compile(rb' (?:pid|p1|p2|p3)="\d{1,10}"')
_INDEX = re.compile(rb"\+?\d{1,10}")


def _index(word: bytes) -> float:
    return float(word) if _INDEX.fullmatch(word) else float("nan")


@dataclass(frozen=True)
class RowKind:
    """How the rows of a mesh are written: elements of three numbers, as attributes."""

    rows: str
    """The element around them."""
    element: str
    names: tuple[str, str, str]
    """Its attributes."""
    dtype: type[np.generic]
    letters: bytes
    """All that the numbers are written with."""
    number: Callable[[bytes], float]
    """Gives a word's value, NaN where it has none."""
    noun: str


VERTICES: Final = RowKind(
    "vertices", "vertex", ("x", "y", "z"), np.float64, NUMBER_LETTERS, number, "a number"
)
TRIANGLES: Final = RowKind(
    "triangles", "triangle", ("v1", "v2", "v3"), np.int64, b"0123456789", _index, "an index"
)
ROWS: Final = {each.rows: each for each in (VERTICES, TRIANGLES)}


def rows_in_bulk(text: bytes, kind: RowKind) -> NDArray[Any] | None:
    """Read text of nothing but rows, each written the usual way, as (n, 3); None for any other text.

    Colours of triangles are passed over.
    """
    plain = _plain(text, kind)
    if b" p" in plain:
        plain = _plain(_COLOURS.sub(b"", text), kind)
    return scan_table(plain, b"# ; ,\n", 3, b"#;,", letters=kind.letters)


def _plain(text: bytes, kind: RowKind) -> bytes:
    """Write rows as lines of three marked numbers; what is no such row comes out as no such line."""
    text = text.replace(f"></{kind.element}>".encode(), b"/>").translate(_BLANKS)
    while b"  " in text:
        text = text.replace(b"  ", b" ")
    text = text.strip(b" ").replace(b"/> <", b"/><").replace(b'" />', b'"/>')
    text = text.replace(f'<{kind.element} {kind.names[0]}="'.encode(), b"#").replace(b'"/>', b"\n")
    return text.replace(f'" {kind.names[1]}="'.encode(), b" ;").replace(
        f'" {kind.names[2]}="'.encode(), b" ,"
    )


def rows_of(words: list[str], kind: RowKind) -> tuple[NDArray[Any], int | None]:
    """Turn words, three to each row, into (n, 3), and give the place of the first that is no such number."""
    values = scan_floats(" ".join(words).encode()) if kind is VERTICES else None
    if values is None or len(values) != len(words) or not np.isfinite(values).all():
        values = np.array([kind.number(word.strip().encode()) for word in words])
    odd = np.isnan(values)
    if odd.any():
        return values, int(np.argmax(odd))
    return values.reshape(-1, 3).astype(kind.dtype, copy=False), None


CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
HARMLESS: Final = {
    CORE,
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
}
"""Extensions that leave shapes as they are (core, materials, sets), so that a file may require them."""

UNITS: Final[dict[str, tuple[LengthUnit, float]]] = {
    "micron": ("mm", 0.001),
    "millimeter": ("mm", 1.0),
    "centimeter": ("cm", 1.0),
    "inch": ("inch", 1.0),
    "foot": ("mm", 304.8),
    "meter": ("m", 1.0),
}
"""Unit of the sculpt and what the file's numbers are multiplied by, for each unit a file may have."""

TYPES: Final = ("model", "solidsupport", "support", "surface", "other")


@dataclass
class ModelObject:
    """An object of the model: a mesh, or components by their number and (4, 4) placement."""

    number: int
    name: str
    kind: str
    rows: dict[str, list[NDArray[Any]]] = field(default_factory=lambda: {name: [] for name in ROWS})
    """(n, 3) float64 vertices and (m, 3) int64 triangles, in parts as they come."""
    components: list[tuple[int, Floats]] = field(default_factory=list)

    @property
    def label(self) -> str:
        """Its name in messages."""
        return f"object {self.number}" + (f" ({excerpt(self.name.encode())})" if self.name else "")


@dataclass
class Model:
    """The content of a model part."""

    unit: str = "millimeter"
    parts: dict[int, ModelObject] = field(default_factory=dict)
    """All objects by their number."""
    items: list[tuple[int, Floats]] = field(default_factory=list)
    """What is to be built: objects' numbers and (4, 4) placements."""
    notes: list[str] = field(default_factory=list)
    """Sentences for the user."""


def number_of(given: dict[str, str], key: str, whose: str) -> int:
    """Read the number of an object from the attributes of an element, which messages call `whose`."""
    text = given.get(key, "").strip()
    if not (text.isascii() and text.isdigit()) or not 0 < int(text[:11]) < 2**31:
        raise Unreadable(f"{whose} has the {key} {excerpt(text.encode())}, which is not a number from 1 up")
    return int(text)
