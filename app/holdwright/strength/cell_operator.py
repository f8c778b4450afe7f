"""The stiffness of a whole hold, applied cell by cell: it is never put together."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from holdwright.geometry.arrays import Floats, Indices
from holdwright.strength.cell_stiffness import DOFS

Reals = NDArray[np.floating[Any]]


def dofs_of(nodes: Indices) -> Indices:
    """Give the degrees of freedom (n, 24) of cells with nodes (n, 8): 3 * node + axis."""
    return np.asarray((3 * nodes[:, None, :] + np.arange(3)[:, None]).reshape(len(nodes), DOFS))


@dataclass(frozen=True, eq=False)
class CellOperator:
    """Stiffness of cells: plain ones share one matrix, the others have one each.

    All arrays are of one floating type, the type of what it is applied to.
    """

    nodes: int
    """How many nodes there are."""
    plain: Indices
    """(p, 8) nodes of plain cells."""
    moduli: Reals
    """(p,) what the shared matrix of each is multiplied by."""
    shared: Reals
    """(24, 24)."""
    special: Indices
    """(s, 8) nodes of the other cells."""
    matrices: Reals
    """(s, 24, 24)."""

    @cached_property
    def _plain_dofs(self) -> Indices:
        return np.ascontiguousarray(dofs_of(self.plain).T)

    @cached_property
    def _special_dofs(self) -> Indices:
        return dofs_of(self.special)

    @cached_property
    def _gather(self) -> tuple[csr_array, csr_array]:
        """Sums of what cells give at nodes, moduli of plain cells included."""
        plain, special = self._plain_dofs.ravel(), self._special_dofs.ravel()
        kind = self.matrices.dtype
        sums = []
        for dofs, values in (
            (plain, np.tile(self.moduli, DOFS).astype(kind)),
            (special, np.ones(len(special), kind)),
        ):
            columns = np.arange(len(dofs), dtype=np.int32)
            sums.append(
                csr_array((values, (dofs.astype(np.int32), columns)), shape=(3 * self.nodes, len(dofs)))
            )
        return sums[0], sums[1]

    def __call__(self, moved: Reals) -> Reals:
        """Give the forces (3 k,) on nodes that displacements (3 k,) cause."""
        plain_sum, special_sum = self._gather
        out = special_sum @ np.matmul(self.matrices, moved[self._special_dofs][:, :, None]).ravel()
        if len(self.plain):
            out += plain_sum @ (self.shared @ moved[self._plain_dofs]).ravel()
        return np.asarray(out)

    @cached_property
    def diagonal(self) -> Reals:
        """(3 k,) the diagonal of the matrix."""
        plain_sum, special_sum = self._gather
        own = np.einsum("sii->si", self.matrices)
        every = np.repeat(np.diag(self.shared), len(self.plain))
        return np.asarray(special_sum @ own.ravel() + plain_sum @ every)

    def dense(self) -> Floats:
        """Give the whole matrix (3 k, 3 k); for few nodes."""
        size = 3 * self.nodes
        matrix = np.zeros((size, size))
        for dofs, matrices in (
            (self._special_dofs, self.matrices),
            (self._plain_dofs.T, self.moduli[:, None, None] * self.shared),
        ):
            np.add.at(matrix, (dofs[:, :, None], dofs[:, None, :]), matrices)
        return matrix
