"""Reads Wavefront OBJ: a text format of vertices and polygon faces in named groups, that knows no unit.

Vertices (v), faces (f), objects (o) and groups (g) are read; lines and points are noted; all else, materials
and free-form surfaces among it, is passed over. No other file is ever opened.
"""

from dataclasses import dataclass, field

import numpy as np

from holdwright.files.lines import Statements, blocks, join_continued, line_number, line_starts, plain_lines
from holdwright.files.obj_rows import CORNER, face_rows, vertex_rows
from holdwright.files.read_error import Unreadable, counted, excerpt
from holdwright.files.surface import RawSurface, bad_corner, bad_vertex, coordinate_reason, triangles_of
from holdwright.geometry.arrays import Floats, Indices
from holdwright.progress import SILENT, Progress

_POINTS = "export the sculpt as a mesh, not as points or lines"
_V, _F, _G, _O, _L, _P = b"vfgolp"


def read_obj(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read the triangles of an OBJ file.

    Faces belong to the piece named by the last `g` before them, or by the last `o` where no `g` followed it.
    A name that comes again goes on with the same piece.

    Raises
    ------
    Unreadable
        When there is no face, a face is not made of vertices of the file, or a vertex used has no usable
        coordinates.
    """
    plain = plain_lines(content)
    text = join_continued(plain)
    scan = _Scan()
    for start, end in blocks(text):
        scan.take(Statements(text[start:end]))
        progress.report(0.8 * end / len(text), "reading the sculpt")
    return _surface(scan, text, plain)


@dataclass
class _Scan:
    """What has been read so far."""

    vertices: list[Floats] = field(default_factory=list)
    corners: list[Indices] = field(default_factory=list)
    sizes: list[Indices] = field(default_factory=list)
    vertex_count: int = 0
    face_count: int = 0
    others: int = 0
    object_name: bytes = b""
    names: dict[tuple[bytes, bytes], int] = field(default_factory=lambda: {(b"", b""): 0})
    changes: list[tuple[int, int]] = field(default_factory=lambda: [(0, 0)])

    def take(self, lines: Statements) -> None:
        vertex_rows_here, face_rows_here = lines.rows(_V), lines.rows(_F)
        if len(face_rows_here) < len(lines.first) - len(vertex_rows_here):
            self._take_names(lines, face_rows_here)
            self.others += sum(len(lines.rows(letter)) for letter in (_L, _P))
        if len(face_rows_here):
            self._take_faces(lines, face_rows_here, vertex_rows_here)
        if len(vertex_rows_here):
            self.vertices.append(vertex_rows(lines.text(vertex_rows_here)))
            self.vertex_count += len(vertex_rows_here)

    def _take_faces(self, lines: Statements, rows: Indices, vertex_lines: Indices) -> None:
        corners, sizes = face_rows(lines.text(rows))
        backward = corners < 0
        if backward.any():
            before = self.vertex_count + np.searchsorted(vertex_lines, rows)
            # One too far back must not pass for a forward one: it stays negative, which no index is.
            corners = np.where(backward, np.repeat(before, sizes) + corners, corners - 1)
        else:
            corners -= 1
        self.corners.append(corners)
        self.sizes.append(sizes)
        self.face_count += len(sizes)

    def _take_names(self, lines: Statements, face_lines: Indices) -> None:
        rows = np.union1d(lines.rows(_G), lines.rows(_O))
        faces_before = self.face_count + np.searchsorted(face_lines, rows)
        for row, face in zip(rows.tolist(), faces_before.tolist(), strict=True):
            line = lines.line(row)
            name = line[1:].strip()
            if line.startswith(b"o"):
                self.object_name = name
                key = (name, b"")
            else:
                key = (self.object_name, name)
            self.changes.append((face, self.names.setdefault(key, len(self.names))))

    def piece_of_face(self) -> Indices | None:
        """Give the piece each face belongs to; None when no name comes before a face."""
        if len(self.changes) == 1:
            return None
        faces, pieces = np.array(self.changes, dtype=np.int64).T
        return np.repeat(pieces, np.diff(faces, append=self.face_count))


def _surface(scan: _Scan, text: bytes, plain: bytes) -> RawSurface:
    if scan.face_count == 0:
        found = "only points or lines" if scan.others or scan.vertex_count else "no vertices and no faces"
        raise Unreadable(f"it holds {found}", _POINTS)
    vertices = np.concatenate(scan.vertices) if scan.vertices else np.zeros((0, 3))
    corners = np.concatenate(scan.corners)
    sizes = np.concatenate(scan.sizes)
    piece_of_face = scan.piece_of_face()
    names = [group or whole for whole, group in scan.names]
    scan.vertices, scan.corners, scan.sizes = [], [], []
    notes: list[str] = []
    if scan.others:
        notes.append(f"{counted(scan.others, 'line or point statement')} passed over.")
    _check_indices(corners, sizes, len(vertices), text, plain)
    vertex = bad_vertex(vertices, corners, notes)
    if vertex is not None:
        raise Unreadable(*_vertex_fault(vertices[vertex], vertex, text, plain))
    triangles, face_of = triangles_of(vertices, corners, sizes, notes)
    if piece_of_face is not None and face_of is not None:
        piece_of_face = piece_of_face[face_of]
    return RawSurface(vertices, triangles, piece_of_face, names, notes)


def _check_indices(corners: Indices, sizes: Indices, count: int, text: bytes, plain: bytes) -> None:
    odd = bad_corner(corners, sizes, count)
    if odd is None:
        return
    face, corner = odd
    words, line = _statement(text, plain, _F, face)
    word = words[corner]
    if not CORNER.fullmatch(word):
        raise Unreadable(f"line {line} names {excerpt(word)} as a corner of a face")
    word = word.split(b"/")[0]
    if not word.strip(b"+-0"):
        raise Unreadable(f"line {line} names vertex 0, but vertices are counted from 1")
    raise Unreadable(f"line {line} names vertex {excerpt(word)[1:-1]}, but the file has {count:,} vertices")


def _vertex_fault(vertex: Floats, row: int, text: bytes, plain: bytes) -> tuple[str, str]:
    words, line = _statement(text, plain, _V, row)
    words = words[:3]
    if any(b"," in word for word in words):
        return f"line {line} writes {excerpt(b' '.join(words))} with commas", "write decimals with a point"
    if len(words) < 3:
        return (
            f"the vertex on line {line} has {counted(len(words), 'coordinate')} instead of three",
            "export the sculpt again",
        )
    reason = coordinate_reason(vertex)
    return f"the vertex on line {line}, {excerpt(b' '.join(words))}, {reason}", "export the sculpt again"


def _statement(text: bytes, plain: bytes, letter: int, row: int) -> tuple[list[bytes], int]:
    """Give words and line of statement number `row` with a keyword; read again, as only errors need it."""
    for start, end in blocks(text):
        rows = Statements(text[start:end]).rows(letter)
        if row < len(rows):
            begin, end = start + line_starts(text[start:end])[rows[row] : rows[row] + 2]
            return text[begin:end].partition(b"#")[0].split()[1:], line_number(plain, int(begin))
        row -= len(rows)
    raise IndexError(row)
