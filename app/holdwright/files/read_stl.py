"""Reads STL: triangles without units, in binary records or as text.

Text laid out as usual is read a quick way, any other layout an exact one.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from holdwright.files.lines import blocks, line_number, plain_lines, tidy
from holdwright.files.numbers import number, scan_table
from holdwright.files.read_error import Unreadable, counted, excerpt
from holdwright.files.surface import RawSurface, bad_vertex, coordinate_reason
from holdwright.geometry.arrays import Floats, Indices
from holdwright.progress import SILENT, Progress

_FLUSH = 10_000
_CORNER = rb"\s++vertex\s++(\S++)\s++(\S++)\s++(\S++)"
_FACET = re.compile(
    rb"\s*+facet(?:\s++normal(?:\s++\S++){3})?\s++outer\s++loop"
    + 3 * _CORNER
    + rb"\s++endloop\s++endfacet(?!\S)",
    re.IGNORECASE,
)
_SOLID = re.compile(
    rb"\s*+(?:(end[ \t]?)solid(?!\S)(?:(?!\s(?:facet|solid)\s)[^\n])*+"
    rb"|solid(?!\S)((?:(?!\sfacet\s++(?:normal|outer)\s)[^\n])*+))",
    re.IGNORECASE,
)
_SOLID_LINE = re.compile(rb"^(end ?)?solid(?: (.*))?\n", re.MULTILINE)
_KEYWORDS = (
    (b"facet normal", b"N"),
    (b"outer loop", b"O"),
    (b"vertex", b"V"),
    (b"endloop", b"L"),
    (b"endfacet", b"F"),
)
_USUAL_SHAPE = b"N   \nO\nV   \nV   \nV   \nL\nF\n"


@dataclass
class Facets:
    """Corners (n, 3, 3) float64 of the facets, and the name and number of facets of each solid."""

    names: list[bytes] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    parts: list[Floats] = field(default_factory=list)

    def begin(self, name: bytes) -> None:
        """Start a solid."""
        self.names.append(name.strip())
        self.sizes.append(0)

    def add(self, corners: Floats) -> None:
        """Put (n, 9) corners into the solid that is open, one without a name where none is."""
        if not self.names:
            self.begin(b"")
        self.parts.append(corners)
        self.sizes[-1] += len(corners)

    @property
    def corners(self) -> Floats:
        """(n, 3, 3) float64."""
        return np.concatenate(self.parts).reshape(-1, 3, 3) if self.parts else np.zeros((0, 3, 3))


def text_facets(content: bytes, progress: Progress) -> Facets:
    """Read all facets of a text STL.

    Raises
    ------
    Unreadable
        Where the text is no solid, facet of three corners, or end of one.
    """
    text = plain_lines(content)
    facets = Facets()
    for start, end in _blocks(text):
        if not _take_usual(text[start:end], facets):
            _take_any(text, start, end, facets)
        progress.report(0.8 * end / len(text), "reading the sculpt")
    facets.parts = [facets.corners.reshape(-1, 9)]
    return facets


def _blocks(text: bytes) -> Iterator[tuple[int, int]]:
    return blocks(text, b"ENDFACET" if b"ENDFACET" in text else b"endfacet")


def _take_usual(block: bytes, facets: Facets) -> bool:
    """Take a block in which each facet stands on its seven lines; tells whether it was one."""
    block = tidy(block).strip(b"\n") + b"\n"
    lower = block.lower()
    found: list[Floats | bytes] = []
    place = 0
    solids = list(_SOLID_LINE.finditer(lower))
    for solid in [*solids, None]:
        between = lower[place : solid.start() if solid else len(lower)]
        if solid and (b" facet " in solid[0] or solid[0].count(b"solid") > 1):
            return False
        if between:
            corners = _usual_corners(between)
            if corners is None:
                return False
            found.append(corners)
        if solid and not solid[1]:
            found.append(block[slice(*solid.span(2))] if solid[2] else b"")
        place = solid.end() if solid else place
    for each in found:
        if isinstance(each, bytes):
            facets.begin(each)
        else:
            facets.add(each)
    return True


def _usual_corners(text: bytes) -> Floats | None:
    """Read facets of seven tidy lines each, in small letters, as (n, 9); None when they are not all so."""
    for keyword, letter in _KEYWORDS:
        text = text.replace(keyword, letter)
    rows = scan_table(text, _USUAL_SHAPE, 12, b"NOVLF")
    return None if rows is None else rows[:, 3:]


def _take_any(text: bytes, start: int, end: int, facets: Facets) -> None:
    """Take a block of any layout, a solid or a facet at a time."""
    rows: list[list[float]] = []

    def flush() -> None:
        if rows:
            facets.add(np.array(rows))
            rows.clear()

    while True:
        match = _FACET.match(text, start, end)
        if match:
            rows.append([number(word) for word in match.groups()])
            if len(rows) >= _FLUSH:
                flush()
        else:
            flush()
            match = _SOLID.match(text, start, end)
            if match is None:
                break
            if not match[1]:
                facets.begin(match[2])
        start = match.end()
    rest = text[start:end].lstrip()
    if rest:
        place = end - len(rest)
        first = rest.partition(b"\n")[0].strip()
        raise Unreadable(
            f"what begins on line {line_number(text, place)} with {excerpt(first)} "
            "is not a whole facet of three corners"
        )


HEADER_BYTES = 84
RECORD_BYTES = 50
_MIXING = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)
FACET_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def claimed_triangles(content: bytes) -> int:
    """Give the count in a binary STL's header, or -1 where the content is too short for one."""
    return int.from_bytes(content[80:HEADER_BYTES], "little") if len(content) >= HEADER_BYTES else -1


def read_binary_stl(content: bytes) -> RawSurface:
    """Read a binary STL: 80 bytes of header, a count, and 50 bytes for each triangle.

    Raises
    ------
    Unreadable
        When the count and the size do not agree, or no triangle can be used.
    """
    count = claimed_triangles(content)
    if count < 0:
        raise Unreadable(
            f"it has {len(content)} bytes, and the header of a binary STL alone has {HEADER_BYTES}"
        )
    if count == 0:
        raise Unreadable("its header counts no triangles")
    end = HEADER_BYTES + RECORD_BYTES * count
    if end > len(content):
        held = (len(content) - HEADER_BYTES) // RECORD_BYTES
        raise Unreadable(f"its header counts {counted(count, 'triangle')}, but only {held:,} follow")
    padding = content[end:]
    if padding.strip(b"\0\t\n\r "):
        raise Unreadable(
            f"after the {counted(count, 'triangle')} its header counts, {len(padding):,} bytes more follow"
        )
    corners = np.frombuffer(content, FACET_RECORD, count, HEADER_BYTES)["corners"]
    notes = [f"{len(padding):,} empty bytes after the last triangle were passed over."] if padding else []
    return _surface(corners, None, [b""], notes)


def read_text_stl(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read a text STL; each of its solids is a piece.

    Raises
    ------
    Unreadable
        When something is no facet of three corners, or no triangle can be used.
    """
    facets = text_facets(content, progress)
    if len(facets.corners) == 0:
        raise Unreadable("it holds no triangles", "export the sculpt as a mesh")
    solids = np.repeat(np.arange(len(facets.names)), facets.sizes) if len(facets.names) > 1 else None
    return _surface(facets.corners, solids, facets.names, [])


def _surface(corners: Floats, solids: Indices | None, names: list[bytes], notes: list[str]) -> RawSurface:
    points = corners.reshape(-1, 3) + corners.dtype.type(0)  # -0.0 becomes 0.0
    bad = bad_vertex(points, np.arange(len(points)), notes)
    if bad is not None:
        raise Unreadable(f"triangle {bad // 3 + 1:,} {coordinate_reason(points[bad])}")
    kept, vertex_of = _welded(points)
    triangles = vertex_of.reshape(-1, 3)
    sound = (triangles != triangles[:, [1, 2, 0]]).all(axis=1)
    if not sound.any():
        raise Unreadable("each of its triangles has collapsed: two corners or all three are the same point")
    if not sound.all():
        dropped = int(np.count_nonzero(~sound))
        were = "was" if dropped == 1 else "were"
        notes.append(f"{counted(dropped, 'triangle')} with two corners in the same place {were} left out.")
        triangles = triangles[sound]
        solids = None if solids is None else solids[sound]
    return RawSurface(points[kept].astype(np.float64), triangles, solids, names, notes)


def _welded(points: Floats) -> tuple[Indices, Indices]:
    """Find the different rows of (n, 3) points: which to keep, in order, and which kept row each is."""
    bits = np.ascontiguousarray(points).view(f"u{points.itemsize}")
    mixed = bits[:, 0] * _MIXING[0] + bits[:, 1] * _MIXING[1] + bits[:, 2] * _MIXING[2]
    mixed ^= mixed >> np.uint64(29)
    order = np.argsort(mixed)
    mixed = mixed[order]
    kept, vertex_of = _numbered(order, mixed[1:] != mixed[:-1])
    if all((column[kept][vertex_of] == column).all() for column in points.T):
        return kept, vertex_of
    # Two points mixed to one number: once in many millions; so order by the coordinates themselves.
    order = np.lexsort(points.T)
    return _numbered(order, (points[order[1:]] != points[order[:-1]]).any(axis=1))


def _numbered(order: Indices, differs: NDArray[np.bool_]) -> tuple[Indices, Indices]:
    """Give equal rows one number by where they first come, from an order that brings them together."""
    begins = np.concatenate([[True], differs])
    firsts = np.minimum.reduceat(order, np.flatnonzero(begins))
    is_first = np.zeros(len(order), dtype=bool)
    is_first[firsts] = True
    rank = (np.cumsum(is_first) - 1)[firsts]
    vertex_of = np.empty(len(order), dtype=np.int64)
    vertex_of[order] = rank[np.cumsum(begins) - 1]
    return np.flatnonzero(is_first), vertex_of
