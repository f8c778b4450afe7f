"""Writes binary STL: a header of 80 bytes, a count, 50 bytes for each triangle, all little endian."""

from typing import BinaryIO, Final

import numpy as np

from holdwright.geometry.mesh.single_precision import PrintedMesh

RECORD: Final = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle."""

HEADER: Final = b"Binary STL written by Holdwright; unit millimetre".ljust(80)
"""Does not begin with "solid", by which readers tell the text variant."""

_CHUNK = 1 << 18


def write_stl(stream: BinaryIO, mesh: PrintedMesh) -> None:
    """Write one part."""
    stream.write(HEADER)
    stream.write(np.uint32(len(mesh.triangles)).astype("<u4").tobytes())
    for first in range(0, len(mesh.triangles), _CHUNK):
        corners = mesh.vertices[mesh.triangles[first : first + _CHUNK]]
        records = np.zeros(len(corners), dtype=RECORD)
        records["corners"] = corners
        exact = corners.astype(np.float64)
        normals = np.cross(exact[:, 1] - exact[:, 0], exact[:, 2] - exact[:, 0])
        lengths = np.linalg.norm(normals, axis=1, keepdims=True)
        records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0.0)
        stream.write(records.tobytes())
