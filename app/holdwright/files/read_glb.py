"""Reads glTF 2.0, binary (GLB) or JSON: meshes placed by the nodes of a scene, in metres, y up.

Only the file itself is read: a shape that lies in another one is refused. Materials, pictures, cameras,
lights, skeletons and animations are passed over. Source: glTF 2.0 Specification (Khronos Group; also ISO/IEC
12113:2022).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.files.gltf_accessors import Accessors
from holdwright.files.gltf_document import (
    Entry,
    GltfDocument,
    entry_of,
    integer,
    list_of,
    open_binary,
    open_text,
)
from holdwright.files.gltf_nodes import MeshNode, mesh_nodes
from holdwright.files.instances import MOST_TRIANGLES, Placed, surface_of
from holdwright.files.read_error import Unreadable, counted, excerpt
from holdwright.files.surface import RawSurface
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.progress import SILENT, Progress

MAGIC: Final = b"glTF"
QUANTIZED: Final = "KHR_mesh_quantization"
HARMLESS: Final = (
    "KHR_materials_",
    "KHR_texture_",
    "EXT_texture_",
    "KHR_lights_",
    "KHR_animation_",
    "KHR_xmp",
)
"""How extensions begin that leave shapes as they are, so that a file may require them."""

_SHAPING = ("KHR_draco_mesh_compression", "EXT_meshopt_compression", "EXT_mesh_gpu_instancing")
_TRIANGLES, _STRIP, _FAN = 4, 5, 6


def read_glb(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read the scene of a glTF file; each node with a mesh is a piece, its equal vertices made one.

    Raises
    ------
    Unreadable
        When the file breaks a rule that bears on shapes, needs another file or an extension that is not read,
        or shows no triangles.
    """
    document = open_binary(content) if content.startswith(MAGIC) else open_text(content)
    _check_extensions(document)
    notes: list[str] = []
    nodes = list(mesh_nodes(document, notes))
    meshes = _Meshes(document, len(content))
    placed = []
    for done, node in enumerate(nodes):
        progress.report(0.8 * done / len(nodes), "reading the sculpt")
        placed.append(_placed(node, meshes.mesh(node.mesh)))
    notes += meshes.notes()
    return surface_of(placed, notes, "m")


def _check_extensions(document: GltfDocument) -> None:
    for name in document.entries("extensionsRequired"):
        if name != QUANTIZED and not str(name).startswith(HARMLESS):
            packed = "compression" in str(name)
            shown = excerpt(str(name).encode("utf-8", "replace"))
            raise Unreadable(
                f"it requires the extension {shown}, which is not read",
                "export the sculpt without compression" if packed else "export the sculpt as plain glTF 2.0",
            )


def _placed(node: MeshNode, mesh: "_Mesh") -> Placed:
    label = node.name or mesh.name or f"mesh {node.mesh}"
    return Placed(label.encode("utf-8", "replace"), mesh.vertices, mesh.triangles, node.placement)


@dataclass(frozen=True, eq=False)
class _Mesh:
    name: str
    vertices: Floats
    triangles: Indices


class _Meshes:
    """Reads meshes, each once, however many nodes carry it.

    Parameters
    ----------
    size
        Bytes of the file; each triangle that is not repeated takes at least one.
    """

    def __init__(self, document: GltfDocument, size: int) -> None:
        used = document.entries("extensionsUsed")
        self._document = document
        self._accessors = Accessors(document, quantized=QUANTIZED in used)
        self._meshes: dict[int, _Mesh] = {}
        self._lines = 0
        self._morphed = 0
        self._room = MOST_TRIANGLES + size
        self._ignored = [name for name in _SHAPING if name in used]

    def mesh(self, number: int) -> _Mesh:
        """Give a mesh of one surface, whatever primitives it is made of."""
        if number not in self._meshes:
            self._meshes[number] = self._read(number)
        return self._meshes[number]

    def notes(self) -> list[str]:
        """Say what was passed over."""
        notes = [f"The extension {name} was passed over." for name in self._ignored]
        if self._lines:
            notes.append(f"{counted(self._lines, 'set')} of points or lines passed over.")
        if self._morphed:
            meshes = "1 mesh" if self._morphed == 1 else f"{self._morphed} meshes"
            notes.append(f"{meshes} can change shape; the shape as modelled was taken.")
        return notes

    def _read(self, number: int) -> _Mesh:
        entry = self._document.entry("meshes", number, "a node")
        whose = f"its mesh {number}"
        primitives = list_of(entry, "primitives", whose)
        surfaces = [self._primitive(primitive, whose) for primitive in primitives]
        self._morphed += any("targets" in primitive for primitive in primitives)
        return _Mesh(str(entry.get("name") or ""), *_joined([each for each in surfaces if each is not None]))

    def _primitive(self, primitive: Entry, whose: str) -> tuple[Floats, Indices] | None:
        """Give vertices and triangles; None for points and lines."""
        if not isinstance(primitive, dict):
            raise Unreadable(f"a part of {whose} is not a JSON object")
        mode = integer(primitive, "mode", whose, default=_TRIANGLES)
        if mode < _TRIANGLES:
            self._lines += 1
            return None
        if mode > _FAN:
            raise Unreadable(f"{whose} has a part of the unknown mode {mode}")
        attributes = entry_of(primitive, "attributes", whose)
        if "POSITION" not in attributes:
            return None
        vertices = self._accessors.positions(integer(attributes, "POSITION", whose), whose)
        if "indices" in primitive:
            corners = self._accessors.indices(integer(primitive, "indices", whose), whose)
            if corners.max() >= len(vertices):
                raise Unreadable(f"{whose} names vertex {corners.max():,}, but has {len(vertices):,}")
        else:
            corners = np.arange(len(vertices))
        triangles = _triangles(corners, mode, whose)
        self._room -= len(triangles)
        if self._room < 0:
            raise Unreadable("it repeats the same triangles too often, which no sculpt needs")
        return vertices, triangles


def _triangles(corners: Indices, mode: int, whose: str) -> Indices:
    if mode == _TRIANGLES:
        if len(corners) % 3:
            raise Unreadable(
                f"{whose} has {len(corners):,} corners of triangles, which are not three to each"
            )
        return corners.reshape(-1, 3)
    if len(corners) < 3:
        raise Unreadable(f"{whose} has a row of triangles of {counted(len(corners), 'corner')}")
    if mode == _FAN:
        return np.stack([np.full(len(corners) - 2, corners[0]), corners[1:-1], corners[2:]], axis=1)
    rows = np.stack([corners[:-2], corners[1:-1], corners[2:]], axis=1)
    rows[1::2] = rows[1::2, [0, 2, 1]]
    # A strip goes on elsewhere by triangles that repeat a corner; those are no faces.
    faces: Indices = rows[(rows != rows[:, [1, 2, 0]]).all(axis=1)]
    return faces


def _joined(surfaces: Sequence[tuple[Floats, Indices]]) -> tuple[Floats, Indices]:
    """Make one surface of several, and one vertex of equal ones, which are parted where materials meet."""
    if not surfaces:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    parts, offset, seen = [], 0, []
    for points, corners in surfaces:
        used, within = np.unique(corners, return_inverse=True)
        seen.append(points[used])
        parts.append(within.reshape(-1, 3) + offset)
        offset += len(used)
    vertices, which = merge_equal(np.concatenate(seen))
    triangles: Indices = which[np.concatenate(parts)]
    return vertices, triangles
