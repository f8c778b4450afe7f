"""From a solid to a surface ready for light and ink: fine enough, with a normal at each corner."""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from pyvista import PolyData

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import cross_products
from holdwright.geometry.mesh.solid import Solid

_SHARP: Final = float(np.cos(np.radians(48.0)))
"""Faces that meet at a greater angle meet in an edge; others are one smooth surface."""


@dataclass(frozen=True, eq=False)
class SmoothMesh:
    """Triangles with a normal at every point; where the surface has an edge, points lie one on another."""

    points: Floats
    normals: Floats
    """points and normals: (n, 3) float64; mm, and unit vectors."""
    triangles: Indices
    """(m, 3) int64, wound outward."""
    part: NDArray[np.uint8]
    """(m,) uint8: which part a triangle belongs to, from 1."""

    def joined(self, other: "SmoothMesh") -> "SmoothMesh":
        """Give this surface and another as one."""
        return SmoothMesh(
            np.concatenate([self.points, other.points]),
            np.concatenate([self.normals, other.normals]),
            np.concatenate([self.triangles, other.triangles + len(self.points)]),
            np.concatenate([self.part, other.part]),
        )


def smooth_mesh_of(solid: Solid, part: int, finest: float) -> SmoothMesh:
    """Give a solid's surface with no edge much longer than `finest` mm."""
    vertices, triangles = _refined(solid.vertices, solid.triangles, finest)
    normals = corner_normals(vertices, triangles)
    vertex = triangles.reshape(-1)
    digits = np.rint((normals + 1.0) * 511.0).astype(np.int64)
    name = ((vertex << 30) | (digits[:, 0] << 20) | (digits[:, 1] << 10)) | digits[:, 2]
    _, first, corner = np.unique(name, return_index=True, return_inverse=True)
    parts = np.full(len(triangles), part, dtype=np.uint8)
    return SmoothMesh(vertices[vertex[first]], normals[first], corner.reshape(-1, 3), parts)


def corner_normals(vertices: Floats, triangles: Indices) -> Floats:
    """Average, at each corner of each triangle, the faces round that vertex that join it smoothly.

    Returns
    -------
    (3m, 3) unit vectors; faces count by their area (slivers left by cuts would else show).
    """
    area = cross_products(vertices, triangles)
    length = np.linalg.norm(area, axis=1, keepdims=True)
    face = area / np.maximum(length, 1e-300)
    vertex = triangles.reshape(-1)
    order = np.argsort(vertex, kind="stable")
    count = np.bincount(vertex, minlength=len(vertices))
    start = np.concatenate([[0], np.cumsum(count)[:-1]])
    pairs = count[vertex]
    own = np.repeat(np.arange(len(vertex)), pairs)
    step = np.arange(len(own)) - np.repeat(np.cumsum(pairs) - pairs, pairs)
    other = order[start[vertex[own]] + step]
    smooth = np.einsum("ij,ij->i", face[own // 3], face[other // 3]) > _SHARP
    total = np.zeros((len(vertex), 3))
    for axis in range(3):
        total[:, axis] = np.bincount(own[smooth], area[other[smooth] // 3, axis], minlength=len(vertex))
    total += area.repeat(3, axis=0) * 1e-6 + face.repeat(3, axis=0) * 1e-12
    return np.asarray(total / np.linalg.norm(total, axis=1, keepdims=True))


def _refined(vertices: Floats, triangles: Indices, finest: float) -> tuple[Floats, Indices]:
    """Divide triangles until no edge is longer than `finest`, neighbours alike, so that no crack opens."""
    faces: NDArray[Any] = triangles
    surface = PolyData.from_regular_faces(vertices, faces)
    fine = surface.subdivide_adaptive(max_edge_len=finest, max_tri_area=1e9)
    return np.asarray(fine.points, dtype=np.float64), np.asarray(fine.regular_faces, dtype=np.int64)
