"""3MF packages put together by hand (3MF Core Specification), sound and not."""

import io
import zipfile

import pytest
import trimesh

from holdwright.files.read_3mf import read_3mf
from holdwright.files.read_error import Unreadable
from holdwright.files.surface import RawSurface

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/><Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/></Types>'
)
RELATIONSHIPS = (
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship '
    'Id="a" Target="{target}" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"{more}/>'
    "</Relationships>"
)
BOX = trimesh.creation.box((20, 20, 20))
MATERIALS = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"


def mesh_xml(mesh: trimesh.Trimesh = BOX, vertex: str = "", triangle: str = "") -> str:
    rows = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in mesh.vertices.tolist())
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n' for a, b, c in mesh.faces.tolist())
    return f"<mesh><vertices>{rows}{vertex}</vertices>\n<triangles>{faces}{triangle}</triangles></mesh>"


def model(
    resources: str = "", build: str = '<item objectid="1"/>', attributes: str = "", head: str = ""
) -> str:
    resources = resources or f'<object id="1">{mesh_xml()}</object>'
    return (
        f'{head}<model xmlns="{CORE}" {attributes}><resources>{resources}</resources>'
        f"<build>{build}</build></model>"
    )


def packed(
    text: str | bytes | None = None,
    *,
    target: str = "/3D/3dmodel.model",
    name: str = "3D/3dmodel.model",
    more: str = "",
    method: int = zipfile.ZIP_DEFLATED,
    extra: tuple[tuple[zipfile.ZipInfo | str, bytes], ...] = (),
) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        archive.writestr("[Content_Types].xml", TYPES)
        archive.writestr("_rels/.rels", RELATIONSHIPS.format(target=target, more=more))
        archive.writestr(name, model() if text is None else text)
        for entry, content in extra:
            archive.writestr(entry, content)
    return stream.getvalue()


def volume_of(surface: RawSurface) -> float:
    return trimesh.Trimesh(surface.vertices, surface.triangles, process=False).volume


def refusal(content: bytes) -> str:
    with pytest.raises(Unreadable) as caught:
        read_3mf(content)
    return caught.value.found
