"""Stiffness of a cell: a trilinear hexahedron whose material is given on its sub-cells.

A cell is a cube of side 1 here; its matrices grow in proportion to its side and to the modulus. Degrees of
freedom are numbered along x first for all corners, then y, then z: `axis * 8 + corner`, with corner 4 i + 2 j
+ k at (i, j, k). Strains are xx, yy, zz, yz, zx, xy, the last three as angles.

Every cell has three incompatible modes besides: 1 - a^2 along each axis, in displacements of each
direction, which let it bend. Of their strain that in the middle of its material is taken off, so that they
do no work on even stress, whether material fills the cell or not: with it, cut cells are far too soft, and
without modes a little too stiff.

References
----------
Taylor, Beresford and Wilson, "A non-conforming element for stress analysis", Int. J. Numer. Methods Eng. 10
(1976); Simo and Rifai, "A class of mixed assumed strain methods and the method of incompatible modes",
ibid. 29 (1990), for modes in cells of several materials, and what they may not do; Parvizian, Duester and
Rank, "Finite cell method", Comput. Mech. 41 (2007), for cells cut by the surface and integrated on
sub-cells.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from holdwright.geometry.arrays import Floats

CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
"""(8, 3) corners of a cell."""

DOFS, MODES = 24, 9
"""Degrees of freedom of a cell's corners, and amplitudes of its incompatible modes."""

_ALL = DOFS + MODES + 6
"""With even strains."""


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
        """(fine^3, 39, 39) what each sub-cell adds for a modulus of 1: corners, modes and even strains."""
        gauss = 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3.0)
        lines = (np.arange(self.fine)[:, None] + gauss) / self.fine  # (fine, 2)
        x, y, z = np.meshgrid(lines, lines, lines, indexing="ij")
        strains = strain_matrix(np.column_stack([x.ravel(), y.ravel(), z.ravel()]))
        even = np.broadcast_to(np.eye(6), (len(strains), 6, 6))
        strains = np.concatenate([strains, even], axis=2)
        points = np.swapaxes(strains, 1, 2) @ elasticity(self.poisson) @ strains
        points = points.reshape(*(self.fine, 2) * 3, *(_ALL, _ALL))
        summed = points.sum(axis=(1, 3, 5)) / (2 * self.fine) ** 3
        return np.ascontiguousarray(summed.reshape(self.fine**3, _ALL, _ALL))

    @cached_property
    def middles(self) -> Floats:
        """(fine^3, 3) middles of the sub-cells, from 0 to 1."""
        line = (np.arange(self.fine) + 0.5) / self.fine
        return np.stack(np.meshgrid(line, line, line, indexing="ij"), axis=-1).reshape(-1, 3)

    @cached_property
    def filled(self) -> Floats:
        """(24, 24) stiffness of a cell that one material fills, modulus 1 and side 1."""
        every = np.ones((1, self.fine**3))
        return np.asarray(self.cut(every, np.full((1, 3), 0.5))[0][0])

    def cut(self, moduli: Floats, middle: Floats) -> tuple[Floats, Floats]:
        """Give the stiffness (n, 24, 24) of cells of side 1, and their modes (n, 9, 24) by corners.

        Parameters
        ----------
        moduli
            (n, fine^3) of their sub-cells, times how full these are.
        middle
            (n, 3) of their material, from 0 to 1.
        """
        matrices = (moduli @ self.by_sub_cell.reshape(self.fine**3, -1)).reshape(-1, _ALL, _ALL)
        # Modes less their strain in the middle: then they do no work on even stress.
        strain = strain_matrix(middle)[:, :, DOFS:]
        turned = np.swapaxes(strain, 1, 2)
        modes, even = slice(DOFS, DOFS + MODES), slice(DOFS + MODES, _ALL)
        coupling = matrices[:, modes, :DOFS] - turned @ matrices[:, even, :DOFS]
        mixed = turned @ matrices[:, even, modes]
        own = matrices[:, modes, modes] - mixed - np.swapaxes(mixed, 1, 2)
        own += turned @ matrices[:, even, even] @ strain
        found = np.asarray(-np.linalg.solve(own, coupling), dtype=np.float64)
        return matrices[:, :DOFS, :DOFS] + np.swapaxes(coupling, 1, 2) @ found, found


@lru_cache(maxsize=8)
def cell_matrices(fine: int, poisson: float) -> CellMatrices:
    """Give the matrices for so many sub-cells along a side."""
    return CellMatrices(fine, poisson)
