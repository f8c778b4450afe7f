"""Finding the parts of a large mesh where it may be sharp, by the spread of its normals, box by box.

Where all normals within reach of a ball lie within an angle t of one direction, the surface is a slope no
steeper than t, and the solid fills at least the cone of apex angle 180 - 2 t below each place. Boxes where
that is as much as is looked for are put aside, the others halved. What is left are creases, edges, points and
thin walls: little of a large hold.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import grouped, linked_sets
from holdwright.geometry.mesh.mesh import Mesh, lengths

_OCTANTS = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), axis=-1).reshape(-1, 3)


@dataclass(frozen=True, eq=False)
class Boxes:
    """Cubes of a lattice in space."""

    origin: Floats
    """(3,) mm, lowest corner of the cube (0, 0, 0)."""
    side: float
    """Length of a cube's sides, mm."""
    cells: Indices
    """(n, 3) int64: which cubes."""

    def chosen(self, which: Mask | Indices) -> "Boxes":
        """Keep some of the cubes."""
        return Boxes(self.origin, self.side, self.cells[which])

    @property
    def bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest corner, (3,) mm each, of the box round all cubes."""
        low = self.origin + self.cells.min(axis=0) * self.side
        return low, self.origin + (self.cells.max(axis=0) + 1) * self.side

    def clusters(self, longest: float) -> list["Boxes"]:
        """Part the cubes into those that touch, and these until none is longer than `longest` mm."""
        pairs = cKDTree(self.cells).query_pairs(1.5, p=np.inf, output_type="ndarray")
        _, label = linked_sets(pairs[:, 0], pairs[:, 1], len(self.cells))
        return [part for cluster in grouped(label) for part in self.chosen(cluster)._parted(longest)]

    def _parted(self, longest: float) -> list["Boxes"]:
        extent = np.ptp(self.cells, axis=0) + 1
        axis = int(np.argmax(extent))
        if extent[axis] <= max(1.0, longest / self.side):
            return [self]
        lower = self.cells[:, axis] < self.cells[:, axis].min() + extent[axis] / 2
        return self.chosen(lower)._parted(longest) + self.chosen(~lower)._parted(longest)


def sharp_boxes(surface: Mesh, side: float, reach: float, slope: float) -> Boxes:
    """Find the cubes near which a mesh is not one slope, those of the widest spread of normals first.

    Parameters
    ----------
    surface
        mm; vertices that no triangle uses count for the cubes' origin.
    side
        Of the cubes, mm.
    reach
        How far beyond a cube the mesh counts, mm.
    slope
        Angle in degrees within which the normals of a slope lie round one direction.
    """
    length = lengths(surface.crosses)
    corners, normals = (
        surface.corners[length > 0.0],
        surface.crosses[length > 0.0] / length[length > 0.0, None],
    )
    origin, extent = surface.bounds[0], float(surface.size.max())
    halvings = max(int(np.ceil(np.log2(extent / side))), 0)
    faces = _Faces(corners.min(axis=1), corners.max(axis=1), corners[:, 0], normals)
    cells, face = np.zeros((len(normals), 3), dtype=np.int64), np.arange(len(normals))
    for halving in range(halvings, -1, -1):
        if halving < halvings:
            cells, face = faces.halved(cells, face, origin, side * 2.0**halving, reach)
        cells, face, spread = faces.bent(cells, face, float(np.cos(np.radians(slope))))
    kept, first = np.unique(cells, axis=0, return_index=True)
    return Boxes(origin, side, kept[np.argsort(spread[first], kind="stable")])


@dataclass(frozen=True, eq=False)
class _Faces:
    """Triangles: ends of the box round each, a corner of each, and its unit normal; all (n, 3)."""

    low: Floats
    high: Floats
    corner: Floats
    normal: Floats

    def halved(
        self, cells: Indices, face: Indices, origin: Floats, side: float, reach: float
    ) -> tuple[Indices, Indices]:
        """Give the pairs of cube and face of all cubes' halves, `side` mm long, that come within `reach`."""
        kept = []
        half = side / 2.0 + reach
        for octant in _OCTANTS:
            smaller = 2 * cells + octant
            middle = origin + (smaller + 0.5) * side
            near = np.flatnonzero(
                (middle + half >= self.low[face]).all(axis=1) & (middle - half <= self.high[face]).all(axis=1)
            )
            of, middle = face[near], middle[near]
            off = np.abs(np.einsum("ij,ij->i", self.normal[of], middle - self.corner[of]))
            crossed = off <= half * np.abs(self.normal[of]).sum(axis=1)
            kept.append((smaller[near[crossed]], of[crossed]))
        return np.concatenate([cell for cell, _ in kept]), np.concatenate([of for _, of in kept])

    def bent(self, cells: Indices, face: Indices, cosine: float) -> tuple[Indices, Indices, Floats]:
        """Keep cubes whose faces are no slope, and give the least cosine from the middle of their normals."""
        if len(cells) == 0:
            return cells, face, np.empty(0)
        order = np.lexsort(cells.T)
        cells, face = cells[order], face[order]
        new = np.append(True, (cells[1:] != cells[:-1]).any(axis=1))
        start, cube = np.flatnonzero(new), np.cumsum(new) - 1
        normal = self.normal[face]
        middle = np.minimum.reduceat(normal, start) + np.maximum.reduceat(normal, start)
        middle /= np.maximum(np.linalg.norm(middle, axis=1), 1e-9)[:, None]
        least = np.minimum.reduceat(np.einsum("ij,ij->i", normal, middle[cube]), start)
        kept = (least < cosine)[cube]
        return cells[kept], face[kept], least[cube][kept]
