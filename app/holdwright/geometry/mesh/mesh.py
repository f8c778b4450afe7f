"""A triangle mesh, closed or not: what every part of the geometry hands to the next.

It does not stand on trimesh, which costs a second of import at each start and takes 4 to 10 times as long
for edges, areas and volume (measured at 330k triangles); connected components take as long in both, being
scipy's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import edge_uses, grouped, open_edges, vertex_sets
from holdwright.geometry.mesh.frame import move_points

F = TypeVar("F", bound=np.floating[Any])

_FEW = 8
"""A submesh of fewer triangles than the mesh has vertices over this finds those it uses by sorting."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Vertices and the triangles between them; lengths in mm, or in the unit of the file.

    Examples
    --------
    >>> mesh = Mesh(np.eye(3), np.array([[0, 1, 2]]))
    >>> mesh.open_edges.tolist(), round(mesh.area, 3)
    ([[0, 1], [0, 2], [1, 2]], 0.866)
    """

    vertices: Floats
    """(n, 3) float64. Read-only."""
    triangles: Indices
    """(m, 3) int64 indices into `vertices`. Read-only."""

    def __post_init__(self) -> None:
        self.vertices.flags.writeable = False
        self.triangles.flags.writeable = False

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (self.vertices, self.triangles))  # without what is cached

    @classmethod
    def of_corners(cls, corners: Floats) -> "Mesh":
        """Give triangles (m, 3, 3) that share no vertex."""
        return cls(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))

    @classmethod
    def joined(cls, meshes: Sequence["Mesh"]) -> "Mesh":
        """Put meshes into one, their vertices numbered on."""
        starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes[:-1])])
        triangles = [mesh.triangles + start for mesh, start in zip(meshes, starts, strict=True)]
        return cls(np.concatenate([mesh.vertices for mesh in meshes]), np.concatenate(triangles))

    @property
    def corners(self) -> Floats:
        """(m, 3, 3) the corners of each triangle."""
        return np.asarray(self.vertices[self.triangles])

    @cached_property
    def bounds(self) -> Floats:
        """(2, 3) least and greatest corner of the box round all vertices."""
        return np.array([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    @property
    def size(self) -> Floats:
        """(3,) extent along x, y and z."""
        return np.asarray(self.bounds[1] - self.bounds[0])

    @property
    def diagonal(self) -> float:
        """Diagonal of the box round all vertices."""
        return float(np.linalg.norm(self.size))

    @cached_property
    def crosses(self) -> Floats:
        """(m, 3) normals by the right hand, each twice as long as the triangle's area."""
        return cross_products(self.vertices, self.triangles)

    @cached_property
    def areas(self) -> Floats:
        """(m,) areas of the triangles."""
        return lengths(self.crosses) / 2.0

    @property
    def area(self) -> float:
        """Area of all triangles."""
        return float(self.areas.sum())

    @cached_property
    def volume(self) -> float:
        """Enclosed volume by the divergence theorem, positive when the surface faces outward."""
        a = self.vertices[self.triangles[:, 0]]
        middle = self.bounds.mean(axis=0) if len(self.vertices) else np.zeros(3)
        return float(np.einsum("ij,ij->", a - middle, self.crosses)) / 6.0

    @cached_property
    def edges(self) -> tuple[Indices, Indices, Indices]:
        """Keys, numbers of uses, and of uses from lesser to greater vertex of the edges, see `edge_uses`."""
        return edge_uses(self.triangles, len(self.vertices))

    @cached_property
    def open_edges(self) -> Indices:
        """(k, 2) edges that only one triangle uses, lesser vertex first."""
        return open_edges(self.triangles, len(self.vertices))

    def parts(self) -> list[Indices]:
        """Part the triangles, given by number, into surfaces joined by a vertex, in order of the first."""
        return grouped(vertex_sets(self.triangles, len(self.vertices))[1][self.triangles[:, 0]])

    def submesh(self, which: Indices | Mask) -> "Mesh":
        """Give the triangles chosen by number or mask, and the vertices they use."""
        return Mesh(self.vertices, self.triangles[which]).compact()

    def compact(self) -> "Mesh":
        """Leave out vertices that no triangle uses."""
        if len(self.triangles) * _FEW < len(self.vertices):
            few, place = np.unique(self.triangles, return_inverse=True)
            return Mesh(self.vertices[few], place.reshape(-1, 3))
        used = np.zeros(len(self.vertices), dtype=np.bool_)
        used[self.triangles] = True
        return self if used.all() else Mesh(self.vertices[used], (np.cumsum(used) - 1)[self.triangles])

    def near(self, low: Floats, high: Floats) -> "Mesh":
        """Leave out triangles wholly to one side of a box, and vertices they alone use.

        Parameters
        ----------
        low, high
            (3,) corners of the box, or (2,) for one without end along z.
        """
        side = np.zeros(len(self.vertices), dtype=np.uint8)
        for axis, (least, most) in enumerate(zip(low, high, strict=True)):
            side |= (self.vertices[:, axis] < least).view(np.uint8) << 2 * axis
            side |= (self.vertices[:, axis] > most).view(np.uint8) << 2 * axis + 1
        a, b, c = (side[self.triangles[:, corner]] for corner in range(3))
        return self.submesh((a & b & c) == 0)

    def flipped(self) -> "Mesh":
        """Wind every triangle the other way."""
        return Mesh(self.vertices, self.triangles[:, ::-1])

    def moved(self, placement: Floats) -> "Mesh":
        """Give the mesh after a (4, 4) affine map; a mirror image is not turned."""
        return Mesh(move_points(placement, self.vertices), self.triangles)


def cross_products(vertices: NDArray[F], triangles: Indices) -> NDArray[F]:
    """Give the (m, 3) normals of triangles, each twice as long as the area."""
    a, b, c = np.ascontiguousarray(triangles.T)
    starts = [(column, column.take(a)) for column in np.ascontiguousarray(vertices.T)]
    # Coordinate by coordinate: twice as quick as row by row.
    first, second = ([column.take(ends) - start for column, start in starts] for ends in (b, c))
    crosses = np.empty((len(triangles), 3), dtype=vertices.dtype)
    for axis, (one, other) in enumerate(((1, 2), (2, 0), (0, 1))):
        crosses[:, axis] = first[one] * second[other] - first[other] * second[one]
    return crosses


def lengths(vectors: Floats) -> Floats:
    """Give the (n,) lengths of vectors (n, 3)."""
    return np.asarray(np.sqrt(np.einsum("ij,ij->i", vectors, vectors)))


def quartered(corners: Floats) -> Floats:
    """Cut triangles (m, 3, 3) into four at the middles of their sides: (4 m, 3, 3)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = (a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0
    parts = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.concatenate([np.stack(part, axis=1) for part in parts])
