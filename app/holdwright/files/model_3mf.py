"""The model part of a 3MF package: objects made of a mesh or of components, and what is to be built of them.

Rows of a mesh are read in bulk where all look alike, else one by one. Source: 3MF Core Specification 1.3, 3
(coordinates and units) and 4 (objects). Metadata, materials and colours are passed over.
"""

import re
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from holdwright.files.instances import is_flat
from holdwright.files.numbers import NUMBER_LETTERS, number, scan_floats, scan_integers
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats, Indices

_BLANKS = bytes.maketrans(b"\t\r\n", b"   ")
_COLOURS = re.compile(rb' (?:pid|p1|p2|p3)="\d{1,10}"')
_INTEGER = re.compile(rb"\+?\d{1,10}")
_DIGITS = b"0123456789"
_LINE = b"# ; ,\n"
_MARKS = b"#;,"

VERTEX: Final = ("vertex", ("x", "y", "z"))
TRIANGLE: Final = ("triangle", ("v1", "v2", "v3"))


class OddNumberError(Exception):
    """A number is none.

    Parameters
    ----------
    row
        Which row it stands in, from 0.
    word
        What stands there.
    """

    def __init__(self, row: int, word: str) -> None:
        super().__init__(row, word)
        self.row = row
        self.word = word


def vertices_in_bulk(text: bytes) -> Floats | None:
    """Read text of nothing but vertices, each written the usual way, as (n, 3); None for any other text."""
    plain = _plain(text, *VERTEX)
    rows = _row_count(plain, NUMBER_LETTERS)
    values = scan_floats(plain.translate(None, _MARKS)) if rows else None
    # No row has more words than blanks; so where the sum is right, each has three.
    return values.reshape(-1, 3) if values is not None and len(values) == 3 * rows else None


def triangles_in_bulk(text: bytes) -> Indices | None:
    """Read text of nothing but triangles, whatever their colours, as (n, 3); None for any other text."""
    plain = _plain(text, *TRIANGLE)
    if b" p" in plain:
        plain = _plain(_COLOURS.sub(b"", text), *TRIANGLE)
    rows = _row_count(plain, _DIGITS)
    values = scan_integers(plain.translate(None, _MARKS)) if rows else None
    return values.reshape(-1, 3) if values is not None and len(values) == 3 * rows else None


def _plain(text: bytes, element: str, names: tuple[str, str, str]) -> bytes:
    """Write rows as lines of three marked numbers; what is no such row comes out as no such line."""
    text = text.replace(b"></" + element.encode() + b">", b"/>").translate(_BLANKS)
    while b"  " in text:
        text = text.replace(b"  ", b" ")
    text = text.strip(b" ").replace(b"/> <", b"/><").replace(b'" />', b'"/>')
    text = text.replace(f'<{element} {names[0]}="'.encode(), b"#").replace(b'"/>', b"\n")
    return text.replace(f'" {names[1]}="'.encode(), b" ;").replace(f'" {names[2]}="'.encode(), b" ,")


def _row_count(plain: bytes, letters: bytes) -> int:
    """Count the lines of `plain` where all of them are of the one shape; else give 0."""
    shape = plain.translate(None, letters)
    rows = len(shape) // len(_LINE)
    return rows if shape == _LINE * rows else 0


def floats_of(words: list[str]) -> Floats:
    """Turn the coordinates of vertices, three words to each, into (n, 3).

    Raises
    ------
    OddNumberError
        When a word is no decimal number.
    """
    values = scan_floats(" ".join(words).encode())
    if values is None or len(values) != len(words) or not np.isfinite(values).all():
        values = np.array([number(word.strip().encode()) for word in words])
        if np.isnan(values).any():
            odd = int(np.argmax(np.isnan(values)))
            raise OddNumberError(odd // 3, words[odd])
    return values.reshape(-1, 3)


def integers_of(words: list[str]) -> Indices:
    """Turn the corners of triangles, three words to each, into (n, 3).

    Raises
    ------
    OddNumberError
        When a word is no index: a whole number that is not negative.
    """
    for place, word in enumerate(words):
        if not _INTEGER.fullmatch(word.strip().encode()):
            raise OddNumberError(place // 3, word)
    return np.array([int(word) for word in words], dtype=np.int64).reshape(-1, 3)


CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
HARMLESS: Final = {
    CORE: "core",
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02": "materials and properties",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07": "triangle sets",
}
"""Extensions that leave shapes as they are, so that a file may require them."""

UNITS: Final = ("micron", "millimeter", "centimeter", "inch", "foot", "meter")
TYPES: Final = ("model", "solidsupport", "support", "surface", "other")


@dataclass
class ModelObject:
    """An object of the model: a mesh, or components."""

    number: int
    name: str
    kind: str
    vertices: list[Floats] = field(default_factory=list)
    triangles: list[Indices] = field(default_factory=list)
    components: list[tuple[int, Floats]] = field(default_factory=list)

    @property
    def label(self) -> str:
        """What messages call it."""
        return f"object {self.number}" + (f" ({excerpt(self.name.encode())})" if self.name else "")


@dataclass
class Model:
    """What a model part says."""

    unit: str = "millimeter"
    parts: dict[int, ModelObject] = field(default_factory=dict)
    """All objects by their number."""
    items: list[tuple[int, Floats]] = field(default_factory=list)
    """What is to be built: objects' numbers and (4, 4) placements."""
    notes: list[str] = field(default_factory=list)
    """Sentences for the user."""


def number_of(given: dict[str, str], key: str, whose: str) -> int:
    """Read a number that objects are identified by.

    Parameters
    ----------
    given
        The attributes of an element.
    whose
        What the element is, for a message.
    """
    text = given.get(key, "").strip()
    if not (text.isascii() and text.isdigit()) or not 0 < int(text[:11]) < 2**31:
        raise Unreadable(f"{whose} has the {key} {excerpt(text.encode())}, which is not a number from 1 up")
    return int(text)


def placement_of(given: dict[str, str], whose: str) -> Floats:
    """Read the (4, 4) placement an element gives, none being the identity."""
    placement = np.eye(4)
    if "transform" not in given:
        return placement
    words = given["transform"].split()
    if len(words) != 12:
        raise Unreadable(f"the transform of {whose} has {len(words)} numbers instead of 12")
    placement[:, :3] = np.array([number(word.encode()) for word in words]).reshape(4, 3)
    if not np.isfinite(placement).all():
        raise Unreadable(f"the transform of {whose} holds what is not a finite number")
    if is_flat(placement):
        raise Unreadable(f"the transform of {whose} flattens it")
    return placement
