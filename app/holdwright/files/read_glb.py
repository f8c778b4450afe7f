"""Reads glTF 2.0, binary (GLB) or JSON: meshes placed by the nodes of a scene, in metres, y up.

Only the file itself is read: a shape that lies in another one is refused. Materials, pictures, cameras,
lights, skeletons and animations are passed over. Source: glTF 2.0 Specification (Khronos Group; also ISO/IEC
12113:2022).
"""

import re
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from scipy.spatial.transform import Rotation

from holdwright.files.gltf_accessors import Accessors
from holdwright.files.gltf_document import GltfDocument, GltfEntry, open_gltf
from holdwright.files.instances import MOST_PLACED, MOST_TRIANGLES, Placed, is_flat, surface_of, within
from holdwright.files.read_error import Unreadable, counted, excerpt
from holdwright.files.surface import RawSurface
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.geometry.mesh.connectivity import collapsed_triangles
from holdwright.progress import SILENT, Progress

QUANTIZED: Final = "KHR_mesh_quantization"
HARMLESS: Final = re.compile("KHR_(materials|texture|lights|animation)_|EXT_texture_|KHR_xmp")
"""How extensions begin that leave shapes as they are, so that a file may require them."""

_SHAPING = ("KHR_draco_mesh_compression", "EXT_meshopt_compression", "EXT_mesh_gpu_instancing")
_TRIANGLES, _STRIP, _FAN = 4, 5, 6


def read_glb(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read the scene of a glTF file; each node with a mesh is a piece, its equal vertices made one.

    `Unreadable` when the file breaks a rule that bears on shapes, needs another file or an extension that is
    not read, or shows no triangles.
    """
    document = open_gltf(content)
    for name in map(str, document.root.rows("extensionsRequired")):
        if name != QUANTIZED and not HARMLESS.match(name):
            how = "without compression" if "compression" in name else "as plain glTF 2.0"
            shown = excerpt(name.encode("utf-8", "replace"))
            raise Unreadable(
                f"it requires the extension {shown}, which is not read", f"export the sculpt {how}"
            )
    notes: list[str] = []
    nodes = list(_mesh_nodes(document, notes))
    meshes = _Meshes(document, len(content))
    placed = []
    for done, (node, placement) in enumerate(nodes):
        progress.report(0.8 * done / len(nodes), "reading the sculpt")
        number = node.integer("mesh")
        name, surface = meshes.mesh(number)
        label = (node.name or name or f"mesh {number}").encode("utf-8", "replace")
        placed.append(Placed(label, *surface, placement))
    return surface_of(placed, notes + meshes.notes(), "m")


def _mesh_nodes(document: GltfDocument, notes: list[str]) -> Iterator[tuple[GltfEntry, Floats]]:
    """Walk the scene to show, without recursion, to nodes with a mesh and their (4, 4) placements, none flat.

    Source: glTF 2.0, 3.5 (scenes; nodes are trees).
    """
    visited: set[int] = set()
    skins = flat = 0
    stack = [(root, np.eye(4)) for root in reversed(_roots(document))]
    while stack:
        number, above = stack.pop()
        if number in visited:
            raise Unreadable(f"its node {number} hangs in two places, or within itself")
        visited.add(number)
        if len(visited) > MOST_PLACED:
            raise Unreadable(f"its scene has more than {MOST_PLACED:,} nodes")
        node = document.entry("nodes", number, "its scene", f"its node {number}")
        placement = within(_placement(node), above)
        stack += [(child, placement) for child in reversed(node.nodes("children"))]
        if "mesh" in node and is_flat(placement):
            flat += 1
        elif "mesh" in node:
            skins += "skin" in node
            node.integer("mesh")
            yield node, placement
    if flat:
        notes.append(f"{counted(flat, 'node')} scaled to nothing left out.")
    if skins:
        notes.append(
            f"The skeleton of {counted(skins, 'node')} was passed over: the mesh is as it was modelled."
        )


def _roots(document: GltfDocument) -> list[int]:
    """Give the nodes of the scene to show, or of the first; without scenes all nodes that hang in none."""
    if document.root.rows("scenes"):
        shown = document.root.integer("scene", default=0)
        return document.entry("scenes", shown, "its JSON", "its scene").nodes("nodes")
    numbers = range(len(document.root.rows("nodes")))
    nodes = [document.entry("nodes", number, "its JSON", f"its node {number}") for number in numbers]
    below = {child for node in nodes for child in node.nodes("children")}
    return [number for number in numbers if number not in below]


def _placement(node: GltfEntry) -> Floats:
    """Give the (4, 4) placement of a node within its parent, acting on rows from the right."""
    placement = np.eye(4)
    if "matrix" in node:
        # Sixteen numbers, column after column: read row after row they act on rows from the right.
        placement = node.numbers("matrix", *placement.flat).reshape(4, 4)
        if not np.allclose(placement[:, 3], (0.0, 0.0, 0.0, 1.0), rtol=0.0, atol=1e-6):
            raise Unreadable(f"the matrix of {node.whose} does not place it, but distorts it")
        placement[:, 3] = (0.0, 0.0, 0.0, 1.0)
        return placement
    scale = node.numbers("scale", 1.0, 1.0, 1.0)
    quaternion = node.numbers("rotation", 0.0, 0.0, 0.0, 1.0)
    if not 0.5 < np.linalg.norm(quaternion) < 2.0:
        raise Unreadable(f"the rotation of {node.whose} is not a unit quaternion")
    placement[:3, :3] = np.diag(scale) @ Rotation.from_quat(quaternion).as_matrix().T
    placement[3, :3] = node.numbers("translation", 0.0, 0.0, 0.0)
    return placement


Surface = tuple[Floats, Indices]
"""Vertices (n, 3) float64 and triangles (m, 3) int64."""


class _Meshes:
    """Reads meshes, each once, however many nodes carry it.

    Parameters
    ----------
    size
        Bytes of the file; each triangle that is not repeated takes at least one.
    """

    def __init__(self, document: GltfDocument, size: int) -> None:
        used = document.root.rows("extensionsUsed")
        self._document = document
        self._accessors = Accessors(document, quantized=QUANTIZED in used)
        self._meshes: dict[int, tuple[str, Surface]] = {}
        self._lines = 0
        self._morphed = 0
        self._room = MOST_TRIANGLES + size
        self._ignored = [name for name in _SHAPING if name in used]

    def mesh(self, number: int) -> tuple[str, Surface]:
        """Give the name of a mesh and its surface, whatever primitives it is made of."""
        if number not in self._meshes:
            entry = self._document.entry("meshes", number, "a node", f"its mesh {number}")
            parts = [GltfEntry.of(part, f"a part of {entry.whose}") for part in entry.rows("primitives")]
            surfaces = [self._primitive(GltfEntry(part.values, entry.whose)) for part in parts]
            self._morphed += any("targets" in part for part in parts)
            self._meshes[number] = entry.name, _joined([each for each in surfaces if each is not None])
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

    def _primitive(self, primitive: GltfEntry) -> Surface | None:
        """Give vertices and triangles; None for points and lines."""
        whose = primitive.whose
        mode = primitive.integer("mode", default=_TRIANGLES)
        if mode < _TRIANGLES:
            self._lines += 1
            return None
        if mode > _FAN:
            raise Unreadable(f"{whose} has a part of the unknown mode {mode}")
        attributes = primitive.entry("attributes")
        if "POSITION" not in attributes:
            return None
        vertices = self._accessors.positions(attributes.integer("POSITION"), whose)
        corners = np.arange(len(vertices))
        if "indices" in primitive:
            corners = self._accessors.indices(primitive.integer("indices"), whose)
            if corners.max() >= len(vertices):
                raise Unreadable(f"{whose} names vertex {corners.max():,}, but has {len(vertices):,}")
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
    return rows[~collapsed_triangles(rows)]  # by which a strip goes on elsewhere; those are no faces


def _joined(surfaces: Sequence[Surface]) -> Surface:
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
