"""A geometric multigrid for cells: what makes conjugate gradients converge in a few dozen steps.

Each coarser mesh has cells twice as large; its matrices are those of the finer cells seen through trilinear
interpolation (Galerkin), cell by cell. Smoothing is a Chebyshev polynomial in the matrix over its diagonal.
All of it is in single precision: it only has to come near.

References
----------
Briggs, Henson and McCormick, "A multigrid tutorial", 2nd ed., SIAM 2000; Adams, Brezina, Hu and Tuminaro,
"Parallel multigrid smoothing: polynomial versus Gauss-Seidel", J. Comput. Phys. 188 (2003), for smoothing.
"""

from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.sparse import csr_array

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.strength.cell_mesh import CellMesh, Coarser, coarser
from holdwright.strength.cell_operator import CellOperator
from holdwright.strength.cell_stiffness import CORNERS, DOFS, shape_values

Singles = NDArray[np.float32]

FEWEST = 400
"""Nodes below which a mesh is solved at once."""

DEGREE = 2
"""Of the smoothing polynomials."""

SPREAD = 6.0
"""Smoothing acts on eigenvalues from the greatest down to this part of it."""

RAISED = (1e-6, 1e-5, 1e-4, 1e-3)
"""By how much, as parts of it, the diagonal of the coarsest matrix is raised until that can be factored."""

_POWER_STEPS = 10


@dataclass(frozen=True, eq=False)
class Interpolation:
    """What a finer mesh takes from a coarser one."""

    down: csr_array
    """(3 fine, 3 coarse)."""
    up: csr_array
    """Its transpose."""


@dataclass(frozen=True, eq=False)
class Level:
    """One mesh of the multigrid."""

    operator: CellOperator
    inverse: Singles
    """(3 k,) one over the diagonal."""
    greatest: float
    """Greatest eigenvalue of the matrix over its diagonal, about."""
    interpolation: Interpolation
    """To this mesh from the next coarser one."""


@dataclass(frozen=True, eq=False)
class Multigrid:
    """An approximate inverse of a stiffness."""

    levels: tuple[Level, ...]
    """From the finest mesh on."""
    coarsest: tuple[Floats, bool]
    """Cholesky factor of the coarsest matrix, as scipy gives it."""

    def __call__(self, forces: Singles) -> Singles:
        """Give displacements (3 k,) for forces (3 k,), near to those that they cause."""
        return self._cycle(0, forces)

    def _cycle(self, number: int, forces: Singles) -> Singles:
        if number == len(self.levels):
            return np.asarray(cho_solve(self.coarsest, forces, check_finite=False), dtype=np.float32)
        level = self.levels[number]
        moved = _smoothed(level, forces, None)
        left = level.interpolation.up @ (forces - level.operator(moved))
        moved += level.interpolation.down @ self._cycle(number + 1, left)
        return _smoothed(level, forces, moved)


def multigrid(operator: CellOperator, mesh: CellMesh, cells: tuple[Indices, Indices]) -> Multigrid:
    """Prepare the multigrid of a stiffness.

    Parameters
    ----------
    operator
        In single precision, held so that no rigid motion is free.
    mesh
        Its cells.
    cells
        Numbers in the mesh of its plain and of its special cells.
    """
    levels = []
    generator = np.random.default_rng(1)
    while mesh.node_count > FEWEST:
        step = coarser(mesh)
        interpolation = _interpolation(mesh, step)
        inverse = np.asarray(1.0 / operator.diagonal, dtype=np.float32)
        greatest = _greatest(operator, inverse, generator)
        levels.append(Level(operator, inverse, greatest, interpolation))
        operator = _coarse_operator(operator, step, cells)
        mesh = step.mesh
        cells = (np.empty(0, dtype=np.int64), np.arange(len(mesh.index)))
    return Multigrid(tuple(levels), factor(operator.dense()))


def factor(matrix: Floats) -> tuple[Floats, bool]:
    """Factor a matrix that is positive but for rounding in single precision, as scipy's `cho_factor` does.

    A motion that hardly anything holds, as along the wall while bolts are tightened, may be rounded to
    none or less: the diagonal is raised until it is held, since the inverse only has to come near.

    Raises
    ------
    GeometryError
        When the matrix is far from positive.
    """
    diagonal = matrix.diagonal().copy()
    for raised in RAISED:
        matrix[np.diag_indices_from(matrix)] = diagonal * (1.0 + raised)
        with suppress(LinAlgError):
            lower, is_lower = cho_factor(matrix, lower=True, check_finite=False)
            return lower, bool(is_lower)
    raise GeometryError(
        "The forces in the hold could not be brought into balance on this grid; ask for other cells, and "
        "look for parts on a thread."
    )


def _smoothed(level: Level, forces: Singles, moved: Singles | None) -> Singles:
    """Smooth the error of displacements; without any, start from none."""
    high = np.float32(1.1 * level.greatest)
    low = high / np.float32(SPREAD)
    middle, half = (high + low) / 2, (high - low) / 2
    left = forces if moved is None else np.asarray(forces - level.operator(moved), dtype=np.float32)
    change = np.asarray(level.inverse * left / middle, dtype=np.float32)
    answer = change.copy() if moved is None else np.asarray(moved + change, dtype=np.float32)
    ratio = half / middle
    for _ in range(DEGREE - 1):
        left = np.asarray(left - level.operator(change), dtype=np.float32)
        after = np.float32(1.0) / (2 * middle / half - ratio)
        change = after * ratio * change + (2 * after / half) * (level.inverse * left)
        answer += change
        ratio = after
    return answer


def _greatest(operator: CellOperator, inverse: Singles, generator: np.random.Generator) -> float:
    """Estimate the greatest eigenvalue of the matrix over its diagonal by power iteration."""
    vector = generator.standard_normal(len(inverse)).astype(np.float32)
    size = 1.0
    for _ in range(_POWER_STEPS):
        vector /= np.linalg.norm(vector)
        vector = np.asarray(inverse * operator(vector), dtype=np.float32)
        size = float(np.linalg.norm(vector))
    return size


def _interpolation(mesh: CellMesh, step: Coarser) -> Interpolation:
    """Take a finer mesh's displacements from the coarser cells its nodes are in."""
    cell, corner = np.empty((2, mesh.node_count), dtype=np.int64)
    cell[mesh.nodes] = np.arange(len(mesh.index))[:, None]
    corner[mesh.nodes] = np.arange(8)
    parent = step.parent[cell]
    places = (CORNERS[step.octant[cell]] + CORNERS[corner]) / 2.0
    values = shape_values(places).astype(np.float32)
    some = values > 0.0
    node = np.repeat(np.arange(mesh.node_count), some.sum(axis=1))
    rows = (3 * node[:, None] + np.arange(3)).astype(np.int32).ravel()
    columns = (3 * step.mesh.nodes[parent][some][:, None] + np.arange(3)).astype(np.int32).ravel()
    shape = (3 * mesh.node_count, 3 * step.mesh.node_count)
    down = csr_array((np.repeat(values[some], 3), (rows, columns)), shape=shape)
    return Interpolation(down, down.T.tocsr())


def _of_octants() -> Singles:
    """(8, 24, 24) displacements of an eighth's corners by those of the whole cell's."""
    blocks = [
        np.kron(np.eye(3), shape_values((octant + CORNERS) / 2.0)).astype(np.float32) for octant in CORNERS
    ]
    return np.array(blocks)


def _coarse_operator(operator: CellOperator, step: Coarser, cells: tuple[Indices, Indices]) -> CellOperator:
    """See the matrices of finer cells through the interpolation from a coarser mesh."""
    count = len(step.mesh.index)
    octants = _of_octants()
    sums = np.zeros((count, DOFS * DOFS), dtype=np.float32)
    plain, special = cells
    if len(plain):
        shares = np.zeros((count, 8), dtype=np.float32)
        np.add.at(shares, (step.parent[plain], step.octant[plain]), operator.moduli)
        seen = np.swapaxes(octants, 1, 2) @ operator.shared @ octants
        sums += shares @ seen.reshape(8, -1)
    for number, octant in enumerate(octants):
        own = np.flatnonzero(step.octant[special] == number)
        right = (operator.matrices[own].reshape(-1, DOFS) @ octant).reshape(-1, DOFS, DOFS)
        # symmetric: the product from the left is one from the right of the transpose
        seen = (np.swapaxes(right, 1, 2).reshape(-1, DOFS) @ octant).reshape(-1, DOFS * DOFS)
        parent = step.parent[special[own]]
        if len(np.unique(parent)) == len(parent):
            sums[parent] += seen
        else:
            np.add.at(sums, parent, seen)
    nothing = np.empty((0, 8), dtype=np.int64)
    return CellOperator(
        step.mesh.node_count,
        nothing,
        np.empty(0, dtype=np.float32),
        np.eye(DOFS, dtype=np.float32),
        step.mesh.nodes,
        sums.reshape(-1, DOFS, DOFS),
    )
