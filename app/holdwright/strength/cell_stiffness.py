"""Stiffness of a cell: a trilinear hexahedron whose material is given on its sub-cells.

A cell is a cube of side 1 here; its matrices grow in proportion to its side and to the modulus. Degrees of
freedom are numbered along x first for all corners, then y, then z: `axis * 8 + corner`, with corner 4 i + 2 j
+ k at (i, j, k). Strains are xx, yy, zz, yz, zx, xy, the last three as angles.

A cell that material fills has three incompatible modes besides: 1 - a^2 along each axis, in displacements of
each direction, which let it bend. On cubes they pass the patch test as they are. Where a cell is cut they
would soften it without reason, so that cut cells go without.

References
----------
Taylor, Beresford and Wilson, "A non-conforming element for stress analysis", Int. J. Numer. Methods Eng.
10 (1976); Simo and Rifai, "A class of mixed assumed strain methods and the method of incompatible modes",
ibid. 29 (1990), for modes in cells of several materials; Parvizian, Duester and Rank, "Finite cell
method", Comput. Mech. 41 (2007), for cells cut by the surface and integrated on sub-cells.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats

CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
"""(8, 3) corners of a cell."""

DOFS, MODES = 24, 9
"""Degrees of freedom of a cell's corners, and amplitudes of its incompatible modes."""

_CHUNK = 4096
"""Cells whose matrices are worked on at a time: bounds the memory."""


def elasticity(poisson: float) -> Floats:
    """Give the (6, 6) stiffness of an isotropic material of modulus 1, for strains as above."""
    lame = poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson))
    shear = 1.0 / (2.0 * (1.0 + poisson))
    matrix = np.diag([2.0 * shear] * 3 + [shear] * 3)
    matrix[:3, :3] += lame
    return matrix


def shape_values(places: Floats) -> Floats:
    """Give the shape functions (n, 8) at places (n, 3) in a cell, from 0 to 1 along each axis."""
    along = np.where(CORNERS == 1, places[:, None, :], 1.0 - places[:, None, :])
    return np.asarray(along.prod(axis=2))


def strain_matrix(places: Floats) -> Floats:
    """Give the strains (n, 6, 33) that displacements of corners and modes of a cell of side 1 cause.

    Parameters
    ----------
    places
        (n, 3) from 0 to 1 along each axis.
    """
    along = np.where(CORNERS == 1, places[:, None, :], 1.0 - places[:, None, :])
    sign = np.where(CORNERS == 1, 1.0, -1.0)
    others = np.stack([along[..., [1, 2]], along[..., [0, 2]], along[..., [0, 1]]], axis=2).prod(axis=3)
    slopes = sign * others  # (n, 8, 3)
    bulges = np.eye(3) * (-4.0 * (2.0 * places - 1.0))[:, None, :]  # of 1 - (2 x - 1)^2; (n, mode, axis)
    matrix = np.zeros((len(places), 6, DOFS + MODES))
    for first, count, gradient in ((0, 8, slopes), (DOFS, 3, bulges)):
        for axis in range(3):
            own = slice(first + axis * count, first + (axis + 1) * count)
            matrix[:, axis, own] = gradient[:, :, axis]
            for row, (a, b) in ((3, (1, 2)), (4, (2, 0)), (5, (0, 1))):
                if axis in (a, b):
                    matrix[:, row, own] = gradient[:, :, b if axis == a else a]
    return matrix


@dataclass(frozen=True)
class CellMatrices:
    """What the matrices of cells are made from."""

    fine: int
    """Sub-cells along a side."""
    poisson: float

    @cached_property
    def by_sub_cell(self) -> Floats:
        """(fine^3, 33, 33) what each sub-cell adds for a modulus of 1, corners and modes."""
        gauss = 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3.0)
        lines = (np.arange(self.fine)[:, None] + gauss) / self.fine  # (fine, 2)
        x, y, z = np.meshgrid(lines, lines, lines, indexing="ij")
        strains = strain_matrix(np.column_stack([x.ravel(), y.ravel(), z.ravel()]))
        points = np.swapaxes(strains, 1, 2) @ elasticity(self.poisson) @ strains
        points = points.reshape(*(self.fine, 2) * 3, DOFS + MODES, DOFS + MODES)
        summed = points.sum(axis=(1, 3, 5)) / (2 * self.fine) ** 3
        return np.ascontiguousarray(summed.reshape(self.fine**3, DOFS + MODES, DOFS + MODES))

    @cached_property
    def filled(self) -> Floats:
        """(24, 24) stiffness of a cell that one material fills, modulus 1 and side 1."""
        return np.asarray(condensed(self.by_sub_cell.sum(axis=0)[None])[0][0])

    def cut(self, moduli: Floats) -> Floats:
        """Stiffness (n, 24, 24) of cells of side 1 with the moduli (n, fine^3) of their sub-cells."""
        bare = np.ascontiguousarray(self.by_sub_cell[:, :DOFS, :DOFS]).reshape(self.fine**3, -1)
        return np.asarray((moduli @ bare).reshape(-1, DOFS, DOFS))

    def layered(self, moduli: Floats) -> tuple[Floats, NDArray[np.float32]]:
        """Stiffness (n, 24, 24) of full cells of several materials, and their modes (n, 9, 24) by corners."""
        stiffness = np.empty((len(moduli), DOFS, DOFS))
        modes = np.empty((len(moduli), MODES, DOFS), dtype=np.float32)
        every = self.by_sub_cell.reshape(self.fine**3, -1)
        for first in range(0, len(moduli), _CHUNK):
            part = slice(first, first + _CHUNK)
            matrices = (moduli[part] @ every).reshape(-1, DOFS + MODES, DOFS + MODES)
            stiffness[part], modes[part] = condensed(matrices)
        return stiffness, modes


def condensed(matrices: Floats) -> tuple[Floats, Floats]:
    """Take the modes out of matrices (n, 33, 33): stiffness (n, 24, 24), and modes (n, 9, 24) by corners."""
    coupling, own = matrices[:, DOFS:, :DOFS], matrices[:, DOFS:, DOFS:]
    modes = np.asarray(-np.linalg.solve(own, coupling), dtype=np.float64)
    return matrices[:, :DOFS, :DOFS] + np.swapaxes(coupling, 1, 2) @ modes, modes


@lru_cache(maxsize=8)
def cell_matrices(fine: int, poisson: float) -> CellMatrices:
    """Give the matrices for so many sub-cells along a side."""
    return CellMatrices(fine, poisson)
