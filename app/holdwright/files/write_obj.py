"""Writes Wavefront OBJ: a text format of vertices and faces that knows no unit."""

import re
from typing import BinaryIO

from holdwright.files.number_text import FLOAT, rows_text
from holdwright.geometry.mesh.single_precision import PrintedMesh

_VERTEX = f"v {FLOAT} {FLOAT} {FLOAT}\n"
_FACE = "f %d %d %d\n"


def write_obj(stream: BinaryIO, mesh: PrintedMesh, name: str) -> None:
    """Write one part under a name; white space in it becomes an underscore, as a name ends there."""
    safe = re.sub(r"\s+", "_", name.strip()) or "part"
    stream.write(f"# written by Holdwright; unit millimetre\no {safe}\n".encode("utf-8", "replace"))
    for text in rows_text(_VERTEX, mesh.vertices):
        stream.write(text)
    for text in rows_text(_FACE, mesh.triangles + 1):
        stream.write(text)
