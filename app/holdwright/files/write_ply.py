"""Writes binary PLY, little endian."""

from typing import BinaryIO, Final

import numpy as np

from holdwright.geometry.mesh.single_precision import PrintedMesh

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
