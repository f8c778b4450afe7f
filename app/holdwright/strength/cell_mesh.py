"""Cells joined where their material touches: one body of each stays apart from the other across a slit.

Where the material of a cell falls apart into several pieces, the cell is there once for each, with nodes of
its own: else the two sides of a slit narrower than a cell would be welded together. Coarser meshes for the
multigrid keep slits open the same way: what is copied is then the group of cells that touch each other.

References
----------
Hansbo and Hansbo, "A finite element method for the simulation of strong and weak discontinuities in solid
mechanics", Comput. Methods Appl. Mech. Eng. 193 (2004), for cells that are there twice.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.strength.cell_grid import WHOLLY, CellGrid, Singles
from holdwright.strength.cell_stiffness import CORNERS

Labels = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Touching:
    """Pairs of cells whose material touches across a face."""

    low: Indices
    high: Indices
    """low, high: (m,) number of the cell before and of the one behind the face."""
    axis: Indices
    """(m,) what the face is square to."""


@dataclass(frozen=True, eq=False)
class CellMesh:
    """Cells and the nodes at their corners."""

    index: Indices
    """(n, 3) place of each cell, in cells."""
    nodes: Indices
    """(n, 8) its nodes, corners as of `cell_stiffness.CORNERS`."""
    node_places: Indices
    """(k, 3) where each node is, in cells."""
    touching: Touching

    @property
    def node_count(self) -> int:
        """Number of nodes, copies counted."""
        return len(self.node_places)


@dataclass(frozen=True, eq=False)
class CutCells:
    """The cells of a grid with what fills each: the first ones are full of one material, the others not."""

    mesh: CellMesh
    grid: CellGrid
    plain: int
    """How many cells are full of one material: they come first."""
    filled: Mask
    """(n,) cells without void: the plain ones and those of several materials."""
    weights: Singles
    """(n - plain, fine^3) how full the sub-cells of the other cells are with what belongs to this copy."""
    rows: Labels
    """(X, Y, Z) cells of the grid: where the copies of one begin among `copies`; -1 in the void."""
    copies: Indices
    """(n,) number of the cell in `mesh`, copies of a grid's cell one after the other."""
    labels: NDArray[np.uint8]
    """(m, fine^3) which copy, from 1 up, each sub-cell of a partly filled cell belongs to."""
    label_rows: Labels
    """(X, Y, Z) row of `labels`; -1 where the cell is full or void."""

    def moduli_of(self, which: Indices, moduli: Floats) -> Floats:
        """Give the modulus times filling (k, fine^3) of the sub-cells of cells that are not plain.

        Parameters
        ----------
        which
            (k,) numbers among these.
        moduli
            (regions,) of the grid's regions.
        """
        grid, place = self.grid, tuple(self.mesh.index[self.plain + which].T)
        table = np.zeros((len(grid.parts) + 1, 2))
        table[1:] = np.reshape(moduli, (-1, 2))
        shape = (len(which), grid.fine**3)
        part = grid.by_cell(grid.part)[place].reshape(shape)
        skin = grid.by_cell(grid.skin)[place].reshape(shape) / WHOLLY
        return np.asarray((table[part, 1] + skin * (table[part, 0] - table[part, 1])) * self.weights[which])

    def cell_of(self, sub_cells: Indices) -> Indices:
        """Give the number (k,) of the cell that each sub-cell (k, 3) with material belongs to."""
        n = self.grid.fine
        place = tuple((sub_cells // n).T)
        row = self.label_rows[place]
        inner = sub_cells % n
        flat = (inner[:, 0] * n + inner[:, 1]) * n + inner[:, 2]
        number = np.ones(len(row), dtype=np.int64)
        number[row >= 0] = self.labels[row[row >= 0], flat[row >= 0]]
        return np.asarray(self.copies[self.rows[place] + number - 1])


def cut_cells(grid: CellGrid) -> CutCells:
    """Find the cells of a grid, copied where their material falls apart, and how they touch."""
    n = grid.fine
    solid = grid.by_cell(grid.part > 0)
    counts = solid.sum(axis=(3, 4, 5))
    index = np.argwhere(counts > 0)
    place = tuple(index.T)
    partly = counts[place] < n**3
    rows = np.flatnonzero(partly)
    labels = _pieces(np.ascontiguousarray(solid[tuple(index[rows].T)]))
    pieces = np.ones(len(index), dtype=np.int64)
    pieces[rows] = labels.max(axis=(1, 2, 3))
    start = np.cumsum(pieces) - pieces
    of_cell = np.repeat(np.arange(len(index)), pieces)
    piece = np.arange(len(of_cell)) - start[of_cell] + 1
    label_row = np.full(len(index), -1)
    label_row[rows] = np.arange(len(rows))
    plain = (~partly & _of_one_material(grid, place))[of_cell]
    order = np.argsort(~plain, kind="stable")  # place in the mesh -> copy
    number = np.empty_like(order)
    number[order] = np.arange(len(order))
    weights = _weights(grid, index[of_cell[order[plain.sum() :]]])
    row = label_row[of_cell[order[plain.sum() :]]]
    cut = row >= 0
    weights[cut] *= labels.reshape(len(rows), n**3)[row[cut]] == piece[order[plain.sum() :]][cut][:, None]
    touching = _touching(index, grid.shape, start, label_row, labels)
    touching = Touching(number[touching.low], number[touching.high], touching.axis)
    full_rows = [np.full(grid.shape, -1, dtype=np.int32) for _ in range(2)]
    full_rows[0][place], full_rows[1][place] = start, label_row
    return CutCells(
        joined(index[of_cell[order]], touching),
        grid,
        int(plain.sum()),
        ~partly[of_cell[order]],
        weights,
        full_rows[0],
        number,
        labels.reshape(len(rows), n**3),
        full_rows[1],
    )


def joined(index: Indices, touching: Touching) -> CellMesh:
    """Give cells at places (n, 3) the nodes that those which touch have in common."""
    pairs = []
    for axis in range(3):
        of_axis = touching.axis == axis
        for corner in np.flatnonzero(CORNERS[:, axis] == 0):
            other = corner + (4, 2, 1)[axis]
            pairs.append(
                np.stack([touching.low[of_axis] * 8 + other, touching.high[of_axis] * 8 + corner]).astype(
                    np.int32
                )
            )
    ends = np.concatenate(pairs, axis=1)
    slots = 8 * len(index)
    graph = coo_array((np.ones(ends.shape[1], dtype=np.int8), (ends[0], ends[1])), shape=(slots, slots))
    count, node = connected_components(graph, directed=False)
    nodes = node.reshape(-1, 8).astype(np.int64)
    places = np.empty((count, 3), dtype=np.int64)
    places[nodes] = index[:, None, :] + CORNERS
    return CellMesh(index, nodes, places, touching)


@dataclass(frozen=True, eq=False)
class Coarser:
    """A mesh of cells twice as large, and where the finer cells are in it."""

    mesh: CellMesh
    parent: Indices
    """(n,) the coarse cell of each fine one."""
    octant: Indices
    """(n,) which eighth of it that is, counted as corners are."""


def coarser(mesh: CellMesh) -> Coarser:
    """Put cells together two by two by two, those apart that do not touch within the larger cell."""
    index = mesh.index // 2
    octant = (mesh.index % 2) @ np.array([4, 2, 1])
    extent = index.max(axis=0) + 1
    key = (index[:, 0] * extent[1] + index[:, 1]) * extent[2] + index[:, 2]
    low, high = mesh.touching.low, mesh.touching.high
    within = key[low] == key[high]
    graph = coo_array(
        (np.ones(within.sum(), dtype=np.int8), (low[within], high[within])), shape=(len(key), len(key))
    )
    count, number = connected_components(graph, directed=False)
    parent = np.asarray(number, dtype=np.int64)
    places = np.empty((count, 3), dtype=np.int64)
    places[parent] = index
    across = ~within
    code = (parent[low[across]] * count + parent[high[across]]) * 3 + mesh.touching.axis[across]
    code = np.unique(code)
    touching = Touching(code // 3 // count, code // 3 % count, code % 3)
    return Coarser(joined(places, touching), parent, np.asarray(octant, dtype=np.int64))


def _pieces(solid: Mask) -> NDArray[np.uint8]:
    """Count off, from 1, the connected pieces of material within each cell (m, fine, fine, fine)."""
    m, n = solid.shape[:2]
    apart = np.zeros((m, n + 1, n, n), dtype=np.bool_)
    apart[:, :n] = solid
    found = label(apart.reshape(m * (n + 1), n, n))[0].reshape(m, n + 1, n, n)[:, :n].astype(np.int64)
    below = np.where(found > 0, found, np.iinfo(np.int64).max).min(axis=(1, 2, 3), initial=2**62)
    return np.where(found > 0, found - below[:, None, None, None] + 1, 0).astype(np.uint8)


def _of_one_material(grid: CellGrid, place: tuple[Indices, ...]) -> Mask:
    """Tell which cells are evenly full of one material, being full."""
    answer = np.ones(len(place[0]), dtype=np.bool_)
    for values in (grid.fill, grid.part, grid.skin):
        cells = grid.by_cell(values)
        same = np.ones(grid.shape, dtype=np.bool_)
        first = cells[..., 0, 0, 0]
        for sub in np.ndindex(*(grid.fine,) * 3):
            same &= cells[(..., *sub)] == first
        answer &= same[place]
    return answer


def _weights(grid: CellGrid, index: Indices) -> Singles:
    """How full the sub-cells of cells (m, 3) are: (m, fine^3)."""
    return np.asarray(grid.by_cell(grid.fill)[tuple(index.T)], dtype=np.float32).reshape(
        len(index), grid.fine**3
    )


def _touching(
    index: Indices,
    shape: tuple[int, int, int],
    start: Indices,
    label_row: Indices,
    labels: NDArray[np.uint8],
) -> Touching:
    """Find where the pieces of neighbouring cells (k, 3) have a face of a sub-cell in common."""
    there = np.full(shape, -1, dtype=np.int64)
    there[tuple(index.T)] = np.arange(len(index))
    found = []
    whole = np.ones((1, *labels.shape[1:]), dtype=np.uint8)
    filled = np.concatenate([labels, whole])  # row -1: a full cell
    for axis in range(3):
        ends: list[slice] = [slice(None)] * 3
        ends[axis] = slice(None, -1)
        before = there[tuple(ends)].ravel()
        ends[axis] = slice(1, None)
        behind = there[tuple(ends)].ravel()
        both = (before >= 0) & (behind >= 0)
        before, behind = before[both], behind[both]
        full = (label_row[before] < 0) & (label_row[behind] < 0)
        found.append(np.stack([start[before[full]], start[behind[full]], np.full(full.sum(), axis)]))
        before, behind = before[~full], behind[~full]
        one = filled.take(-1, axis=axis + 1)[label_row[before]]
        other = filled.take(0, axis=axis + 1)[label_row[behind]]
        pair, *_ = met = np.nonzero((one > 0) & (other > 0))
        low = start[before[pair]] + one[met] - 1
        high = start[behind[pair]] + other[met] - 1
        code = np.unique(low * (start[-1] + 256) + high)
        low, high = np.divmod(code, start[-1] + 256)
        found.append(np.stack([low, high, np.full(len(low), axis)]))
    low, high, axes = np.concatenate(found, axis=1)
    return Touching(low, high, axes)


def corner_places(mesh: CellMesh, grid: CellGrid) -> Floats:
    """Give the places (k, 3) of a mesh's nodes, mm."""
    return np.asarray(grid.origin + grid.cell * mesh.node_places)
