"""glTF scenes put together by hand (glTF 2.0 specification), sound and not."""

import base64
import json
import struct
from typing import Any

import numpy as np
import pytest
import trimesh

from holdwright.files.read_error import Unreadable
from holdwright.files.read_glb import read_glb
from holdwright.files.surface import RawSurface

BOX = trimesh.creation.box((2, 3, 4))
FLOAT, BYTE, UNSIGNED_BYTE, SHORT, UNSIGNED_SHORT, UNSIGNED_INT = 5126, 5120, 5121, 5122, 5123, 5125
KINDS = {
    FLOAT: "<f4",
    BYTE: "<i1",
    UNSIGNED_BYTE: "<u1",
    SHORT: "<i2",
    UNSIGNED_SHORT: "<u2",
    UNSIGNED_INT: "<u4",
}


class Scene:
    """A glTF scene put together by hand: one node, one mesh, as many arrays as asked."""

    def __init__(self) -> None:
        self.bytes = b""
        self.root: dict[str, Any] = {
            "asset": {"version": "2.0"},
            "scene": 0,
            "scenes": [{"nodes": [0]}],
            "nodes": [{"mesh": 0}],
            "meshes": [{"primitives": []}],
            "accessors": [],
            "bufferViews": [],
            "buffers": [{"byteLength": 0}],
        }

    def view(self, content: bytes, **more: Any) -> int:
        self.bytes += bytes(-len(self.bytes) % 4)
        view = {"buffer": 0, "byteOffset": len(self.bytes), "byteLength": len(content), **more}
        self.root["bufferViews"].append(view)
        self.bytes += content
        self.root["buffers"][0]["byteLength"] = len(self.bytes)
        return len(self.root["bufferViews"]) - 1

    def accessor(self, values: Any, kind: int, **more: Any) -> int:
        values = np.asarray(values)
        self.root["accessors"].append(
            {
                "bufferView": self.view(values.astype(KINDS[kind]).tobytes()),
                "componentType": kind,
                "count": len(values),
                "type": "VEC3" if values.ndim == 2 else "SCALAR",
                **more,
            }
        )
        return len(self.root["accessors"]) - 1

    def primitive(
        self, vertices: Any, indices: Any = None, kind: int = UNSIGNED_SHORT, **more: Any
    ) -> "Scene":
        part: dict[str, Any] = {"attributes": {"POSITION": self.accessor(vertices, FLOAT)}, **more}
        if indices is not None:
            part["indices"] = self.accessor(np.ravel(indices), kind)
        self.root["meshes"][0]["primitives"].append(part)
        return self

    def glb(self) -> bytes:
        text = json.dumps(self.root).encode()
        text += b" " * (-len(text) % 4)
        binary = self.bytes + bytes(-len(self.bytes) % 4)
        chunks = (
            struct.pack("<II", len(text), 0x4E4F534A)
            + text
            + struct.pack("<II", len(binary), 0x004E4942)
            + binary
        )
        return b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks

    def gltf(self, escape: bool = False) -> bytes:
        kind = "data:application/octet-stream;base64,"
        self.root["buffers"][0]["uri"] = kind + base64.b64encode(self.bytes).decode()
        text = json.dumps(self.root)
        return (text.replace("/", "\\/") if escape else text).encode()


def box(kind: int = UNSIGNED_SHORT) -> Scene:
    return Scene().primitive(BOX.vertices, BOX.faces, kind)


def volume_of(surface: RawSurface) -> float:
    return trimesh.Trimesh(surface.vertices, surface.triangles, process=False).volume


def refusal(content: bytes) -> str:
    with pytest.raises(Unreadable) as caught:
        read_glb(content)
    return caught.value.found


def put(path: str, value: Any) -> Any:
    def change(scene: Scene) -> None:
        place: Any = scene.root
        *above, last = path.split(".")
        for step in above:
            place = place[int(step)] if step.isdigit() else place[step]
        place[int(last) if last.isdigit() else last] = value

    return change
