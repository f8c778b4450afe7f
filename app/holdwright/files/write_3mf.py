"""Writes meshes as 3MF, in millimetres, by the 3MF Core Specification 1.3 and nothing besides."""

import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import BinaryIO, Final

from holdwright.files.package import CONTENT_TYPES, MODEL_TYPE, RELATIONSHIPS, START
from holdwright.files.read_3mf_model import CORE
from holdwright.files.writing import FLOAT, rows_text
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.single_precision import PrintedMesh

MODEL: Final = "3D/3dmodel.model"
THUMBNAIL: Final = "Metadata/thumbnail.png"
"""MODEL, THUMBNAIL: where model and picture lie in the package."""

OWN: Final = "urn:holdwright"
"""Namespace of metadata that the specification has no name for, with the prefix hw."""

VERTEX: Final = f'<vertex x="{FLOAT}" y="{FLOAT}" z="{FLOAT}"/>\n'
TRIANGLE: Final = '<triangle v1="%d" v2="%d" v3="%d"/>\n'

_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_OPC = "http://schemas.openxmlformats.org/package/2006"

_TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest a ZIP knows, so that equal meshes give equal bytes."""

_UNWRITABLE = re.compile("[^\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True)
class BaseMaterial:
    """What a part is printed in, told apart from others by its name."""

    name: str
    colour: str
    """To show it in, ``#RRGGBB``."""


@dataclass(frozen=True)
class About:
    """What a file says of the hold besides its meshes; only 3MF has room for more than the title."""

    title: str
    metadata: Mapping[str, str] = field(default_factory=dict)
    """By the names of the specification (chapter 3.4.1.1), or ``hw:`` and a name of our own."""
    materials: Mapping[str, BaseMaterial] = field(default_factory=dict)
    """By the parts' names."""
    thumbnail: bytes = b""
    """A picture as PNG; none where empty."""
    places: Mapping[str, Sequence[Floats]] = field(default_factory=dict)
    """By the parts' names: (4, 4) placements of a part's copies on the bed; one where it lies without."""


def write_3mf(stream: BinaryIO, meshes: Mapping[str, PrintedMesh], about: About) -> None:
    """Write all parts of a hold, by name in the order to build them, into one package."""
    pictured = bool(about.thumbnail)
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr(_entry(CONTENT_TYPES), _content_types(pictured=pictured))
        package.writestr(_entry(RELATIONSHIPS), _relationships(pictured=pictured))
        with package.open(_entry(MODEL), "w", force_zip64=True) as model:
            for chunk in _model(meshes, about):
                model.write(chunk)
        if pictured:
            package.writestr(_entry(THUMBNAIL), about.thumbnail)


def _content_types(*, pictured: bool) -> str:
    types = {"rels": "application/vnd.openxmlformats-package.relationships+xml", "model": MODEL_TYPE}
    types |= {"png": "image/png"} if pictured else {}
    rows = "".join(f'<Default Extension="{end}" ContentType="{kind}"/>\n' for end, kind in types.items())
    return f'{_DECLARATION}<Types xmlns="{_OPC}/content-types">\n{rows}</Types>\n'


def _relationships(*, pictured: bool) -> str:
    targets = [("model", MODEL, START)]
    targets += [("thumbnail", THUMBNAIL, f"{_OPC}/relationships/metadata/thumbnail")] if pictured else []
    rows = "".join(f'<Relationship Id="{a}" Target="/{b}" Type="{c}"/>\n' for a, b, c in targets)
    return f'{_DECLARATION}<Relationships xmlns="{_OPC}/relationships">\n{rows}</Relationships>\n'


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _model(meshes: Mapping[str, PrintedMesh], about: About) -> Iterator[bytes]:
    metadata = {"Title": about.title, "Application": "Holdwright", **about.metadata}
    rows = "".join(f'<metadata name="{name}">{_text(value)}</metadata>\n' for name, value in metadata.items())
    model = f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}" xmlns:hw="{OWN}">\n'
    yield f"{_DECLARATION}{model}{rows}<resources>\n".encode()
    materials = list(dict.fromkeys(about.materials.values()))
    if materials:
        bases = "".join(
            f'<base name="{_text(each.name)}" displaycolor="{each.colour}"/>\n' for each in materials
        )
        yield f'<basematerials id="1">\n{bases}</basematerials>\n'.encode()
    for number, (name, mesh) in enumerate(meshes.items(), start=2):
        base = about.materials.get(name)
        material = f' pid="1" pindex="{materials.index(base)}"' if base else ""
        yield f'<object id="{number}" type="model" name="{_text(name)}"{material}>\n'.encode()
        yield b"<mesh>\n<vertices>\n"
        yield from rows_text(VERTEX, mesh.vertices)
        yield b"</vertices>\n<triangles>\n"
        yield from rows_text(TRIANGLE, mesh.triangles)
        yield b"</triangles>\n</mesh>\n</object>\n"
    items = "".join(
        f'<item objectid="{number}"{place}/>\n'
        for number, name in enumerate(meshes, start=2)
        for place in map(_transform, about.places.get(name, (None,)))
    )
    yield f"</resources>\n<build>\n{items}</build>\n</model>\n".encode()


def _transform(placement: Floats | None) -> str:
    """Write a placement as the specification has it: row vectors, the fourth row the shift."""
    if placement is None:
        return ""
    return f' transform="{" ".join(f"{number:.9g}" for number in placement[:3, :4].T.ravel())}"'


def _text(text: str) -> str:
    """Leave out what XML 1.0 allows in no form (its production 2, Char); all white space is a blank.

    lib3mf 2.5 refuses character references, so that an apostrophe stays as it is.
    """
    plain = _UNWRITABLE.sub("", re.sub(r"\s", " ", text))
    return escape(plain, quote=False).replace('"', "&quot;")
