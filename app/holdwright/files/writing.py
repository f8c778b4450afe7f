"""Writes meshes as binary STL and PLY, OBJ and 3MF, all in millimetres.

Sources: 3MF Core Specification 1.3 alone; the rules of the others as their readers name them.
"""

import re
import zipfile
from collections.abc import Iterator, Mapping
from html import escape
from typing import Any, BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.files.package import CONTENT_TYPES, MODEL_TYPE, RELATIONSHIPS, START
from holdwright.files.read_3mf_model import CORE
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


MODEL: Final = "3D/3dmodel.model"
"""Where the model lies in the package."""

_CONTENT_TYPES = f"""<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="{MODEL_TYPE}"/>
</Types>
"""

_RELATIONSHIPS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="model" Target="/{MODEL}" Type="{START}"/>
</Relationships>
"""

VERTEX: Final = f'<vertex x="{FLOAT}" y="{FLOAT}" z="{FLOAT}"/>\n'
TRIANGLE: Final = '<triangle v1="%d" v2="%d" v3="%d"/>\n'

_TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest a ZIP knows, so that equal meshes give equal bytes."""

_UNWRITABLE = re.compile("[^\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_3mf(stream: BinaryIO, meshes: Mapping[str, PrintedMesh], title: str) -> None:
    """Write all parts of a hold into one package.

    Parameters
    ----------
    meshes
        By name, in the order to build them.
    title
        Of the whole.
    """
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in ((CONTENT_TYPES, _CONTENT_TYPES), (RELATIONSHIPS, _RELATIONSHIPS)):
            package.writestr(_entry(name), text)
        with package.open(_entry(MODEL), "w", force_zip64=True) as model:
            for chunk in _model(meshes, title):
                model.write(chunk)


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _model(meshes: Mapping[str, PrintedMesh], title: str) -> Iterator[bytes]:
    yield (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">\n'
        f'<metadata name="Title">{escape(_printable(title))}</metadata>\n'
        '<metadata name="Application">Holdwright</metadata>\n'
        "<resources>\n"
    ).encode()
    for number, (name, mesh) in enumerate(meshes.items(), start=1):
        yield f'<object id="{number}" type="model" name="{escape(_printable(name))}">\n'.encode()
        yield b"<mesh>\n<vertices>\n"
        yield from rows_text(VERTEX, mesh.vertices)
        yield b"</vertices>\n<triangles>\n"
        yield from rows_text(TRIANGLE, mesh.triangles)
        yield b"</triangles>\n</mesh>\n</object>\n"
    items = "".join(f'<item objectid="{number}"/>\n' for number in range(1, len(meshes) + 1))
    yield f"</resources>\n<build>\n{items}</build>\n</model>\n".encode()


def _printable(text: str) -> str:
    """Leave out what XML 1.0 allows in no form (its production 2, Char); all white space is a blank."""
    return _UNWRITABLE.sub("", re.sub(r"\s", " ", text))
