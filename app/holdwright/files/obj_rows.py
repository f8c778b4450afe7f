"""The vertex and face lines of an OBJ file: a quick way for lines all alike, an exact one for the rest.

Both ways give the same; the quick one merely refuses what it cannot be sure of. Text that it refuses is tried
again with its blanks tidied, then in smaller and smaller cuts, so that one odd line costs little.
"""

import re
from collections.abc import Callable, Iterator
from typing import TypeVar

import numpy as np

from holdwright.files.lines import COMMENT, tidy
from holdwright.files.numbers import NUMBER_LETTERS, number, scan_integers, scan_table
from holdwright.geometry.arrays import Floats, Indices

Faces = tuple[Indices, Indices]
"""Vertex numbers of all corners (k,) as they stand in the file, and corners in each face (n,)."""

Rows = TypeVar("Rows")

_CUTS = 16
_SHORT = 1024
CORNER = re.compile(rb"([+-]?\d+)(?:/[+-]?\d*(?:/[+-]?\d*)?)?")
NO_CORNER = 1 << 62
"""Stands for a word that is no corner, as no file has so many vertices."""


def vertex_rows(text: bytes) -> Floats:
    """Read lines "v x y z ..." as (n, 3) float64; a vertex with a word that is no number there is NaN.

    What follows the third number (a weight, a colour) is left alone.
    """
    return np.concatenate(list(_rows(text, _quick_vertices, _exact_vertices)))


def face_rows(text: bytes) -> Faces:
    """Read lines "f v v v ...", each corner as v, v/vt, v//vn or v/vt/vn; any other word as `NO_CORNER`."""
    corners, sizes = zip(*_rows(text, _quick_faces, _exact_faces), strict=True)
    return np.concatenate(corners), np.concatenate(sizes)


def _rows(
    text: bytes, quick: Callable[[bytes], Rows | None], exact: Callable[[bytes], Rows]
) -> Iterator[Rows]:
    first = text[: text.find(b"\n") + 1]
    looks_tidy = not any(oddity in first for oddity in (b"  ", b" \n", b"#"))
    rows = quick(text) if looks_tidy else None
    if rows is None:
        text = tidy(COMMENT.sub(b"", text))
        rows = quick(text)
    yield from [rows] if rows is not None else _odd_rows(text, quick, exact)


def _odd_rows(
    text: bytes, quick: Callable[[bytes], Rows | None], exact: Callable[[bytes], Rows]
) -> Iterator[Rows]:
    cuts = list(_cuts(text)) if len(text) > _SHORT else []
    if len(cuts) < 2:
        yield exact(text)
        return
    for cut in cuts:
        rows = quick(cut)
        yield from [rows] if rows is not None else _odd_rows(cut, quick, exact)


def _cuts(text: bytes) -> Iterator[bytes]:
    start = 0
    while start < len(text):
        end = text.find(b"\n", min(start + len(text) // _CUTS, len(text) - 1)) + 1
        yield text[start:end]
        start = end


def _quick_vertices(text: bytes) -> Floats | None:
    line = text[: text.find(b"\n") + 1].translate(None, NUMBER_LETTERS)
    columns = line.count(b" ")
    rows = (
        scan_table(text, line, columns, b"v")
        if columns >= 3 and line == b"v" + b" " * columns + b"\n"
        else None
    )
    return rows[:, :3] if rows is not None else None


def _exact_vertices(text: bytes) -> Floats:
    rows = np.full((text.count(b"\n"), 3), np.nan)
    for row, line in enumerate(text.split(b"\n")[:-1]):
        words = line.split(None, 4)[1:4]
        if len(words) == 3:
            rows[row] = [number(word) for word in words]
    return rows


def _quick_faces(text: bytes) -> Faces | None:
    shape = text.translate(None, b"0123456789-")
    first = shape[: shape.find(b"\n") + 1]
    spaces = first.count(b" ")
    slashes = first.count(b"/") // max(spaces, 1)
    corner = b" " + b"/" * slashes
    if first != b"f" + corner * spaces + b"\n":
        return None
    sizes = _sizes(shape, first, corner)
    if sizes is None or not _signs_lead_numbers(text):
        return None
    # No corner can hold more numbers than its slashes and one; so where the sum is right, each has them all.
    values = scan_integers(text.translate(bytes.maketrans(b"/", b" "), b"f"))
    count = int(sizes.sum())
    if values is None or count == 0:
        return None
    if len(values) == count * (slashes + 1):
        return values.reshape(count, slashes + 1)[:, 0], sizes
    if slashes == 2 and len(values) == count * 2 and text.count(b"//") == count:
        return values.reshape(count, 2)[:, 0], sizes
    return None


def _signs_lead_numbers(text: bytes) -> bool:
    """Whether every minus sign begins a word or follows a slash, and has a digit behind it."""
    signs = text.count(b"-")
    lone = any(each in text for each in (b"- ", b"-\n", b"-/")) if signs else False
    return not lone and signs == text.count(b" -") + text.count(b"/-")


def _sizes(shape: bytes, first: bytes, corner: bytes) -> Indices | None:
    """Count each line's corners in the text without its digits; None when one is not made of `corner`."""
    rows = len(shape) // len(first)
    if shape == first * rows:
        return np.full(rows, first.count(b" "), dtype=np.int64)
    shape = shape.replace(corner, b"c")
    rows = shape.count(b"\n")
    ruled = shape.count(b"\nf") == rows - 1 and shape.startswith(b"f") and shape.endswith(b"\n")
    if not ruled or len(shape) != 2 * rows + shape.count(b"c"):
        return None
    ends = np.flatnonzero(np.frombuffer(shape, dtype=np.uint8) == 10)
    return np.diff(ends, prepend=-1) - 2


def _exact_faces(text: bytes) -> Faces:
    faces = [line.split()[1:] for line in text.split(b"\n")[:-1]]
    corners = [_corner(word) for words in faces for word in words]
    return np.array(corners, dtype=np.int64), np.array([len(words) for words in faces], dtype=np.int64)


def _corner(word: bytes) -> int:
    """Give the number of the vertex, at most `NO_CORNER`, so that it fits 64 bits."""
    match = CORNER.fullmatch(word)
    digits = match[1] if match else b""
    return max(-NO_CORNER, min(NO_CORNER, int(digits))) if 0 < len(digits) < 30 else NO_CORNER
