"""Writes meshes as binary STL and PLY and as OBJ, all in millimetres, by the rules their readers name."""

import re
from collections.abc import Iterator
from typing import Any, BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.files.read_stl import FACET_RECORD
from holdwright.geometry.mesh.single_precision import PrintedMesh

FLOAT: Final = "%.9g"
"""Nine significant digits bring every single-precision number back bit by bit (IEEE 754-2019, 5.12.2)."""

_ROWS = 1 << 14


def rows_text(template: str, rows: NDArray[Any]) -> Iterator[bytes]:
    """Fill a template once for each row.

    Parameters
    ----------
    template
        Takes as many values as a row has, such as ``v %.9g %.9g %.9g`` and a line's end; ASCII.
    rows
        (n, k) numbers.
    """
    whole = template * _ROWS
    for first in range(0, len(rows), _ROWS):
        part = rows[first : first + _ROWS]
        text = whole if len(part) == _ROWS else template * len(part)
        yield (text % tuple(part.ravel().tolist())).encode("ascii")


HEADER: Final = b"Binary STL written by Holdwright; unit millimetre".ljust(80)
"""Does not begin with "solid", by which readers tell the text variant."""

_CHUNK = 1 << 18


def write_stl(stream: BinaryIO, mesh: PrintedMesh) -> None:
    """Write one part."""
    stream.write(HEADER)
    stream.write(np.uint32(len(mesh.triangles)).astype("<u4").tobytes())
    for first in range(0, len(mesh.triangles), _CHUNK):
        corners = mesh.vertices[mesh.triangles[first : first + _CHUNK]]
        records = np.zeros(len(corners), dtype=FACET_RECORD)
        records["corners"] = corners
        exact = corners.astype(np.float64)
        normals = np.cross(exact[:, 1] - exact[:, 0], exact[:, 2] - exact[:, 0])
        lengths = np.linalg.norm(normals, axis=1, keepdims=True)
        records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0.0)
        stream.write(records.tobytes())


FACE: Final = np.dtype([("count", "u1"), ("vertices", "<i4", 3)])
"""One triangle: the list's length and its members."""

_HEADER = """ply
format binary_little_endian 1.0
comment written by Holdwright; unit millimetre
element vertex {vertices}
property float x
property float y
property float z
element face {triangles}
property list uchar int vertex_indices
end_header
"""


def write_ply(stream: BinaryIO, mesh: PrintedMesh) -> None:
    """Write one part."""
    header = _HEADER.format(vertices=len(mesh.vertices), triangles=len(mesh.triangles))
    stream.write(header.encode("ascii"))
    stream.write(mesh.vertices.astype("<f4").tobytes())
    faces = np.empty(len(mesh.triangles), dtype=FACE)
    faces["count"] = 3
    faces["vertices"] = mesh.triangles
    stream.write(faces.tobytes())


_OBJ_VERTEX = f"v {FLOAT} {FLOAT} {FLOAT}\n"
_OBJ_FACE = "f %d %d %d\n"


def write_obj(stream: BinaryIO, mesh: PrintedMesh, name: str) -> None:
    """Write one part under a name; white space in it becomes an underscore, as a name ends there."""
    safe = re.sub(r"\s+", "_", name.strip()) or "part"
    stream.write(f"# written by Holdwright; unit millimetre\no {safe}\n".encode("utf-8", "replace"))
    for text in rows_text(_OBJ_VERTEX, mesh.vertices):
        stream.write(text)
    for text in rows_text(_OBJ_FACE, mesh.triangles + 1):
        stream.write(text)
