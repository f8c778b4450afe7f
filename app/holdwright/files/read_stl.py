"""Reads STL, binary and text: triangles without shared vertices, that knows no unit.

Corners with the same coordinates, bit for bit, become one vertex.
"""

import numpy as np
from numpy.typing import NDArray

from holdwright.files.read_error import Unreadable, counted
from holdwright.files.stl_text import text_facets
from holdwright.files.surface import Surface, bad_vertex, coordinate_reason
from holdwright.geometry.arrays import Floats, Indices
from holdwright.progress import SILENT, Progress

HEADER = 84
RECORD = 50
_MIXING = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def claimed_triangles(content: bytes) -> int:
    """Give the count in a binary STL's header, or -1 where the content is too short for one."""
    return int.from_bytes(content[80:HEADER], "little") if len(content) >= HEADER else -1


def read_binary_stl(content: bytes) -> Surface:
    """Read a binary STL: 80 bytes of header, a count, and 50 bytes for each triangle.

    Raises
    ------
    Unreadable
        When the count and the size do not agree, or no triangle can be used.
    """
    count = claimed_triangles(content)
    if count < 0:
        raise Unreadable(f"it has {len(content)} bytes, and the header of a binary STL alone has {HEADER}")
    if count == 0:
        raise Unreadable("its header counts no triangles")
    end = HEADER + RECORD * count
    if end > len(content):
        held = (len(content) - HEADER) // RECORD
        raise Unreadable(f"its header counts {counted(count, 'triangle')}, but only {held:,} follow")
    padding = content[end:]
    if padding.strip(b"\0\t\n\r "):
        raise Unreadable(
            f"after the {counted(count, 'triangle')} its header counts, {len(padding):,} bytes more follow"
        )
    corners = np.frombuffer(content, _FACET, count, HEADER)["corners"]
    notes = [f"{len(padding):,} empty bytes after the last triangle were passed over."] if padding else []
    return _surface(corners, None, [b""], notes)


def read_text_stl(content: bytes, progress: Progress = SILENT) -> Surface:
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


def _surface(corners: Floats, solids: Indices | None, names: list[bytes], notes: list[str]) -> Surface:
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
    return Surface(points[kept].astype(np.float64), triangles, solids, names, notes)


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
