"""Vertices and triangles of a 3MF mesh as rows of numbers: in bulk where all look alike, else one by one."""

import re
from typing import Final

import numpy as np

from holdwright.files.numbers import NUMBER_LETTERS, number, scan_floats, scan_integers
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
