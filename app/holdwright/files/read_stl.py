"""Reads STL: triangles without units, in binary records or as text.

Text laid out as usual is read a quick way, any other layout an exact one.
"""

import re
from dataclasses import dataclass, field

import numpy as np

from holdwright.files.lines import blocks, line_number, plain_lines, tidy
from holdwright.files.numbers import number, scan_table
from holdwright.files.read_error import Unreadable, counted, excerpt, left_out, left_unread
from holdwright.files.surface import RawSurface, bad_vertex, coordinate_reason
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.geometry.mesh.connectivity import collapsed_triangles
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
    """Name and number of facets of each solid, and the corners of all, (n, 9) float64 in parts."""

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
FACET_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def claimed_triangles(content: bytes) -> int:
    """Give the count in a binary STL's header, or -1 where the content is too short for one."""
    return int.from_bytes(content[80:HEADER_BYTES], "little") if len(content) >= HEADER_BYTES else -1


def read_binary_stl(content: bytes, _: Progress = SILENT) -> RawSurface:
    """Read a binary STL: 80 bytes of header, a count, and 50 bytes for each triangle.

    `Unreadable` when the file is too short for its count, or no triangle can be used.
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
    corners = np.frombuffer(content, FACET_RECORD, count, HEADER_BYTES)["corners"]
    rest = content[end:]
    notes = [left_unread(counted(len(rest), "byte"), len(rest), "triangles")] if rest else []
    if rest and not rest.strip(b"\0\t\n\r "):
        notes = [f"{counted(len(rest), 'empty byte')} after the last triangle were passed over."]
    return _surface(corners, None, [b""], notes)


def read_text_stl(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read a text STL; each of its solids is a piece.

    `Unreadable` when something is no facet of three corners, or no triangle can be used.
    """
    text = plain_lines(content)
    facets = Facets()
    for start, end in blocks(text, b"ENDFACET" if b"ENDFACET" in text else b"endfacet"):
        if not _take_usual(text[start:end], facets):
            _take_any(text, start, end, facets)
        progress.report(0.8 * end / len(text), "reading the sculpt")
    if not facets.parts:
        raise Unreadable("it holds no triangles", "export the sculpt as a mesh")
    corners = np.concatenate(facets.parts)
    facets.parts.clear()
    solids = np.repeat(np.arange(len(facets.names)), facets.sizes) if len(facets.names) > 1 else None
    return _surface(corners, solids, facets.names, [])


def _surface(corners: Floats, solids: Indices | None, names: list[bytes], notes: list[str]) -> RawSurface:
    points = corners.reshape(-1, 3)
    bad = bad_vertex(points, np.arange(len(points)), notes)
    if bad is not None:
        raise Unreadable(f"triangle {bad // 3 + 1:,} {coordinate_reason(points[bad])}")
    vertices, vertex_of = merge_equal(points)
    triangles = vertex_of.reshape(-1, 3)
    collapsed = collapsed_triangles(triangles)
    if collapsed.all():
        raise Unreadable("each of its triangles has collapsed: two corners or all three are the same point")
    if dropped := int(np.count_nonzero(collapsed)):
        notes.append(left_out(dropped, "triangle", "with two corners in the same place"))
        triangles = triangles[~collapsed]
        solids = None if solids is None else solids[~collapsed]
    return RawSurface(vertices.astype(np.float64), triangles, solids, names, notes)
