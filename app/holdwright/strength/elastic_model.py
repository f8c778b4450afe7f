"""A hold as an elastic body: stiffness of its cells, springs that hold it, and what forces do to it."""

from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from holdwright.geometry.arrays import Floats, Mask
from holdwright.progress import SILENT, Progress
from holdwright.strength.cell_grid import WHOLLY
from holdwright.strength.cell_mesh import CutCells
from holdwright.strength.cell_operator import CellOperator, dofs_of
from holdwright.strength.cell_stiffness import DOFS, MODES, cell_matrices
from holdwright.strength.conjugate_gradients import (
    NOTHING,
    TOLERANCE,
    OneSided,
    Solved,
    conjugate_gradients,
)
from holdwright.strength.multigrid import Multigrid, multigrid
from holdwright.strength.placing import PlacedPoints

_CHUNK = 4096


@dataclass(frozen=True, eq=False)
class Springs:
    """Springs between points of a hold and something that does not move."""

    place: PlacedPoints
    stiffness: Floats
    """(k, 3) along x, y and z, N/mm."""

    def __post_init__(self) -> None:
        assert self.stiffness.shape == self.place.points.shape


@dataclass(frozen=True, eq=False)
class ElasticBody:
    """The cells of a hold and their stiffness, held by nothing."""

    cells: CutCells
    moduli: Floats
    """(regions,) modulus of elasticity of each region of the grid, MPa."""
    poisson: float
    matrices: Floats
    """(s, 24, 24) of all cells that are not plain, N/mm."""
    modes: NDArray[np.float32]
    """(s, 9, 24) their incompatible modes by corners."""

    @classmethod
    def of(
        cls, cells: CutCells, moduli: Floats, poisson: float, progress: Progress = SILENT
    ) -> "ElasticBody":
        """Reckon the stiffness of cells.

        Parameters
        ----------
        moduli
            (regions,) modulus of elasticity of each region of the grid, MPa.
        poisson
            Poisson's ratio, one for all: below 0.49.
        """
        assert len(moduli) == len(cells.grid.regions)
        assert (np.asarray(moduli) > 0.0).all()
        assert 0.0 <= poisson < 0.49
        forms = cell_matrices(cells.grid.fine, poisson)
        count = len(cells.weights)
        matrices = np.empty((count, DOFS, DOFS))
        modes = np.empty((count, MODES, DOFS), dtype=np.float32)
        for first in range(0, count, _CHUNK):
            progress.report(first / count, "reckoning the stiffness of cells")
            part = np.arange(first, min(first + _CHUNK, count))
            weights = cells.weights[part]
            middle = (weights @ forms.middles) / weights.sum(axis=1)[:, None]
            matrices[part], modes[part] = forms.cut(cells.moduli_of(part, moduli), middle)
        matrices *= cells.grid.cell
        return cls(cells, np.asarray(moduli, dtype=np.float64), poisson, matrices, modes)

    @cached_property
    def plain_moduli(self) -> Floats:
        """(p,) of the plain cells, MPa."""
        grid, index = self.cells.grid, self.cells.mesh.index[: self.cells.plain] * self.cells.grid.fine
        place = tuple(index.T)
        skin = grid.skin[place] / WHOLLY
        first = 2 * (grid.part[place].astype(np.int64) - 1)
        return np.asarray(skin * self.moduli[first] + (1.0 - skin) * self.moduli[first + 1])

    def work(self, moved: Floats) -> float:
        """Give the work of displacements (3 n,) against the stiffness of the cells alone, N mm."""
        cells = self.cells
        shared = cell_matrices(cells.grid.fine, self.poisson).filled * cells.grid.cell
        plain, other = np.split(moved[dofs_of(cells.mesh.nodes)], [cells.plain])
        in_plain = np.einsum("n,ni,ij,nj->", self.plain_moduli, plain, shared, plain, optimize=True)
        return float(in_plain + np.einsum("ni,nij,nj->", other, self.matrices, other, optimize=True))


@dataclass(frozen=True, eq=False)
class Ties:
    """Springs between a mean of displacements and something that does not move: bolts."""

    mean: csr_array
    """(b, 3 n) of displacements."""
    stiffness: Floats
    """(b,) N/mm."""


class ElasticModel:
    """An elastic body and what holds it, ready to be solved.

    Parameters
    ----------
    body
        Stiffness of the hold.
    supports
        Springs that hold it: without contact, no rigid motion may be free of them.
    contact
        Springs that only press, along z: from below, where the hold sinks below its unloaded place.
    ties
        Springs that hold means of displacements; they alone need not hold it.
    pressed
        (k,) which of the contact's springs will press, by a first guess: the nearer that is, the fewer
        iterations it takes. All of them unless given.
    """

    def __init__(
        self,
        body: ElasticBody,
        supports: Springs | None = None,
        contact: Springs | None = None,
        ties: Ties | None = None,
        pressed: Mask | None = None,
    ) -> None:
        self.body = body
        self.cells = body.cells
        self._contact, self._ties = contact, ties
        self._held = self._operator(supports)
        self._near: Multigrid = self._multigrid(pressed)
        self._one_sided = NOTHING
        if contact is not None:
            self._one_sided = OneSided(contact.place.heights(body.cells), contact.stiffness[:, 2])

    def guessing(self, pressed: Mask) -> "ElasticModel":
        """Give the same model for loads under which other springs will press."""
        model = copy(self)
        model._near = self._multigrid(pressed)
        return model

    @property
    def freedoms(self) -> int:
        """Number of unknowns."""
        return 3 * self.cells.mesh.node_count

    def stiffness(self, moved: Floats) -> Floats:
        """Give the forces (3 n,) that displacements (3 n,) cause, contact left out."""
        forces = self._held(moved)
        if self._ties is not None:
            forces += self._ties.mean.T @ (self._ties.stiffness * (self._ties.mean @ moved))
        return np.asarray(forces)

    def solve(
        self,
        forces: Floats,
        start: Floats | None = None,
        tolerance: float = TOLERANCE,
        progress: Progress = SILENT,
    ) -> Solved:
        """Find the displacements (3 n,) that forces cause.

        Parameters
        ----------
        forces
            (3 n,) on all nodes, N.
        start
            (3 n,) first guess, mm.
        tolerance
            What may be left of the forces, relative to them.
        """
        return conjugate_gradients(
            self.stiffness, self._near, forces, start, self._one_sided, tolerance, progress
        )

    def _operator(self, supports: Springs | None) -> CellOperator:
        cells, body = self.cells, self.body
        special = np.zeros(len(cells.mesh.index), dtype=np.bool_)
        special[cells.plain :] = True
        for springs in (supports, self._contact):
            if springs is not None:
                special[springs.place.cell] = True
        plain, other = np.flatnonzero(~special), np.flatnonzero(special)
        self._sorts = (plain, other)
        forms = cell_matrices(cells.grid.fine, body.poisson)
        shared = forms.filled * cells.grid.cell
        turned = other[: len(other) - len(body.matrices)]
        own = body.plain_moduli[turned, None, None] * shared
        matrices = np.concatenate([own, body.matrices]) if len(turned) else body.matrices
        if supports is not None:
            matrices = matrices.copy() if not len(turned) else matrices
            self._add(matrices, supports)
        nodes = cells.mesh.nodes
        return CellOperator(
            cells.mesh.node_count, nodes[plain], body.plain_moduli[plain], shared, nodes[other], matrices
        )

    def _multigrid(self, pressed: Mask | None) -> Multigrid:
        held, contact = self._held, self._contact
        matrices = held.matrices.astype(np.float32)
        if contact is not None:
            stiffness = contact.stiffness if pressed is None else contact.stiffness * pressed[:, None]
            self._add(matrices, Springs(contact.place, stiffness))
        guess = CellOperator(
            held.nodes,
            held.plain,
            held.moduli.astype(np.float32),
            held.shared.astype(np.float32),
            held.special,
            matrices,
        )
        return multigrid(guess, self.cells.mesh, self._sorts)

    def _add(self, matrices: NDArray[np.floating], springs: Springs) -> None:
        """Add springs to the matrices of their cells."""
        number = np.searchsorted(self._sorts[1], springs.place.cell)
        which, row = np.unique(number, return_inverse=True)
        values = springs.place.values
        pairs = (values[:, :, None] * values[:, None, :]).reshape(-1, 64)
        count = len(row)
        sums = csr_array((np.ones(count), (row, np.arange(count))), shape=(len(which), count))
        for axis in range(3):
            own = slice(8 * axis, 8 * axis + 8)
            added = np.asarray(sums @ (pairs * springs.stiffness[:, axis, None])).reshape(-1, 8, 8)
            matrices[which, own, own] += added.astype(matrices.dtype)
