"""Which nodes of a glTF scene carry a mesh, and where they put it.

Source: glTF 2.0 Specification, 3.5 (scenes, nodes and their transforms).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from holdwright.files.gltf_document import Entry, GltfDocument, integer, list_of
from holdwright.files.instances import MOST_PLACED, is_flat, within
from holdwright.files.read_error import Unreadable, counted
from holdwright.geometry.arrays import Floats


@dataclass(frozen=True, eq=False)
class MeshNode:
    """A node that carries a mesh."""

    name: str
    """Its own, blank where it has none."""
    mesh: int
    """Number of the mesh."""
    placement: Floats
    """(4, 4) in the scene, acting on rows from the right; not flat."""


def mesh_nodes(document: GltfDocument, notes: list[str]) -> Iterator[MeshNode]:
    """Walk through the scene that is to be shown, without recursion.

    Raises
    ------
    Unreadable
        When a node comes twice (nodes are trees), or its transform makes no sense.
    """
    visited: set[int] = set()
    skins = flat = 0
    stack = [(root, np.eye(4)) for root in reversed(_roots(document))]
    while stack:
        number, above = stack.pop()
        whose = f"its node {number}"
        if number in visited:
            raise Unreadable(f"{whose} hangs in two places, or within itself")
        visited.add(number)
        if len(visited) > MOST_PLACED:
            raise Unreadable(f"its scene has more than {MOST_PLACED:,} nodes")
        node = document.entry("nodes", number, "its scene")
        placement = within(_placement(node, whose), above)
        children = list_of(node, "children", whose)
        stack += [(_index(child, whose), placement) for child in reversed(children)]
        if "mesh" not in node:
            continue
        if is_flat(placement):
            flat += 1
            continue
        skins += "skin" in node
        yield MeshNode(str(node.get("name") or ""), integer(node, "mesh", whose), placement)
    if flat:
        notes.append(f"{counted(flat, 'node')} scaled to nothing left out.")
    if skins:
        notes.append(
            f"The skeleton of {counted(skins, 'node')} was passed over: the mesh is as it was modelled."
        )


def _roots(document: GltfDocument) -> list[int]:
    """Give the nodes of the scene to show, or of the first; without scenes all nodes that hang in none."""
    scenes = document.entries("scenes")
    if scenes:
        scene = document.entry("scenes", integer(document.root, "scene", "its JSON", default=0), "its JSON")
        return [_index(node, "its scene") for node in list_of(scene, "nodes", "its scene")]
    nodes = document.entries("nodes")
    below: set[int] = set()
    for number in range(len(nodes)):
        node = document.entry("nodes", number, "its JSON")
        below |= {
            _index(child, f"its node {number}") for child in list_of(node, "children", f"node {number}")
        }
    return [number for number in range(len(nodes)) if number not in below]


def _index(value: object, whose: str) -> int:
    return integer({"node": value}, "node", whose)


def _placement(node: Entry, whose: str) -> Floats:
    if "matrix" in node:
        # Sixteen numbers, column after column: read row after row they act on rows from the right.
        matrix = _numbers(node, "matrix", 16, whose).reshape(4, 4)
        if not np.allclose(matrix[:, 3], (0.0, 0.0, 0.0, 1.0), rtol=0.0, atol=1e-6):
            raise Unreadable(f"the matrix of {whose} does not place it, but distorts it")
        matrix[:, 3] = (0.0, 0.0, 0.0, 1.0)
        return matrix
    placement = np.eye(4)
    scale = _numbers(node, "scale", 3, whose) if "scale" in node else np.ones(3)
    turned = _turned(_numbers(node, "rotation", 4, whose), whose) if "rotation" in node else np.eye(3)
    placement[:3, :3] = np.diag(scale) @ turned
    if "translation" in node:
        placement[3, :3] = _numbers(node, "translation", 3, whose)
    return placement


def _turned(quaternion: Floats, whose: str) -> Floats:
    """Turn a quaternion x, y, z, w into a rotation that acts on rows from the right."""
    length = float(np.linalg.norm(quaternion))
    if not 0.5 < length < 2.0:
        raise Unreadable(f"the rotation of {whose} is not a unit quaternion")
    x, y, z, w = (quaternion / length).tolist()
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)],
            [2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)],
            [2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)],
        ]
    )


def _numbers(node: Entry, key: str, count: int, whose: str) -> Floats:
    values = list_of(node, key, whose)
    plain = all(isinstance(value, int | float) and not isinstance(value, bool) for value in values)
    numbers = (
        np.array([float(value) if abs(value) < 1e300 else np.inf for value in values]) if plain else None
    )
    if numbers is None or len(numbers) != count or not np.isfinite(numbers).all():
        raise Unreadable(f"the {key} of {whose} is not {count} finite numbers")
    return numbers
