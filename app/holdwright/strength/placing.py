"""Points of a hold seen from its cells: where forces act and springs hold."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.spatial import KDTree

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.strength.cell_mesh import CutCells
from holdwright.strength.cell_stiffness import shape_values

FARTHEST = 1.5
"""A point may lie so many cells outside of the material; it then belongs to what is nearest."""


@dataclass(frozen=True, eq=False)
class PlacedPoints:
    """Points and the cells they belong to."""

    points: Floats
    """(k, 3) mm."""
    cell: Indices
    """(k,) number of the cell."""
    values: Floats
    """(k, 8) share of each of its corners."""

    def matrix(self, cells: CutCells) -> csr_array:
        """Give what takes values of nodes (n, ...) to the points: (k, n)."""
        count = len(self.cell)
        columns = cells.mesh.nodes[self.cell].ravel().astype(np.int32)
        rows = np.repeat(np.arange(count, dtype=np.int32), 8)
        return csr_array((self.values.ravel(), (rows, columns)), shape=(count, cells.mesh.node_count))

    def heights(self, cells: CutCells) -> csr_array:
        """Give what takes displacements of nodes (3 n,) to those of the points along z: (k, 3 n)."""
        plain = self.matrix(cells)
        return csr_array(
            (plain.data, 3 * plain.indices + 2, plain.indptr), shape=(plain.shape[0], 3 * plain.shape[1])
        )


def placed(cells: CutCells, points: Floats) -> PlacedPoints:
    """Find the cells that points (k, 3) on or in a hold belong to.

    Raises
    ------
    GeometryError
        When one is farther than `FARTHEST` cells from all material.
    """
    grid = cells.grid
    exact = (np.asarray(points, dtype=np.float64) - grid.origin) / grid.step
    top = np.array(grid.part.shape)
    margin = int(np.ceil((FARTHEST + 0.5) * grid.fine))
    low = np.clip(np.floor(exact.min(axis=0)).astype(int) - margin, 0, top)
    high = np.clip(np.ceil(exact.max(axis=0)).astype(int) + margin + 1, 0, top)
    box = tuple(slice(a, b) for a, b in zip(low, high, strict=True))
    solid = grid.part[box] > 0
    inner = np.floor(exact).astype(int) - low
    within = ((inner >= 0) & (inner < solid.shape)).all(axis=1)
    within[within] = solid[tuple(inner[within].T)]
    if not within.all():
        if not solid.any():
            raise _nowhere(points[~within][0])
        there = np.argwhere(_edge(solid))
        apart, nearest = (np.asarray(each) for each in KDTree(there + low + 0.5).query(exact[~within]))
        if apart.max() > FARTHEST * grid.fine:
            raise _nowhere(points[~within][apart.argmax()])
        inner[~within] = there[nearest]
    return placed_in(cells, points, inner + low)


def placed_in(cells: CutCells, points: Floats, sub_cells: Indices) -> PlacedPoints:
    """Give points (k, 3) to the cells of sub-cells (k, 3) that are material."""
    cell = cells.cell_of(sub_cells)
    grid = cells.grid
    inner = (points - grid.origin) / grid.cell - cells.mesh.index[cell]
    return PlacedPoints(np.asarray(points), cell, shape_values(np.clip(inner, -0.5, 1.5)))


def nodal(cells: CutCells, place: PlacedPoints, forces: Floats) -> Floats:
    """Give the forces (3 n,) on nodes that are equal to forces (k, 3) on points."""
    return np.asarray((place.matrix(cells).T @ forces).reshape(-1))


def _edge(solid: np.ndarray) -> np.ndarray:
    """Mark what has a void neighbour, or lies at the edge of the array."""
    inner = solid.copy()
    for axis in range(3):
        along, of = np.moveaxis(inner, axis, 0), np.moveaxis(solid, axis, 0)
        along[1:] &= of[:-1]
        along[:-1] &= of[1:]
        along[0] = along[-1] = False
    return np.asarray(solid & ~inner)


def _nowhere(point: Floats) -> GeometryError:
    where = ", ".join(f"{each:.1f}" for each in point)
    return GeometryError(
        f"A force or support is asked for at ({where}) mm, where there is no material; move it."
    )
