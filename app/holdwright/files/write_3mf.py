"""Writes 3MF by the core specification alone: a package with one model, each part an object in place."""

import re
import zipfile
from collections.abc import Iterator, Mapping
from typing import BinaryIO, Final
from xml.sax.saxutils import escape, quoteattr

from holdwright.files.number_text import FLOAT, rows_text
from holdwright.geometry.mesh.single_precision import PrintedMesh

MODEL: Final = "3D/3dmodel.model"
"""Where the model lies in the package."""

_CONTENT_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"""

_RELATIONSHIPS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="model" Target="/{MODEL}" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"""

_NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
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
        for name, text in (("[Content_Types].xml", _CONTENT_TYPES), ("_rels/.rels", _RELATIONSHIPS)):
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
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{_NAMESPACE}">\n'
        f'<metadata name="Title">{escape(_printable(title))}</metadata>\n'
        '<metadata name="Application">Holdwright</metadata>\n'
        "<resources>\n"
    ).encode()
    for number, (name, mesh) in enumerate(meshes.items(), start=1):
        yield f'<object id="{number}" type="model" name={quoteattr(_printable(name))}>\n'.encode()
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
