"""A hold as cubic cells divided into sub-cells: how full each is, of which part, how much of it is skin."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.occupancy import Lattice, filling
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import SILENT, Progress

Bytes = NDArray[np.uint8]
Singles = NDArray[np.float32]

FINEST = 0.5
"""Side of a sub-cell at least, mm."""

FINE = 4
"""Sub-cells along a cell's side, where that keeps them above `FINEST`."""

MOST_SUB_CELLS = 80_000_000
"""More than this take gigabytes."""

WHOLLY = 255
"""Of `CellGrid.skin`: all of it is skin."""

_COLUMNS = 2
"""Lines per sub-cell along x and y on which the surface is met exactly."""


@dataclass(frozen=True, eq=False)
class CellGrid:
    """Cells from `origin` on and what fills them; arrays go by x, y, z. Read only."""

    origin: Floats
    """(3,) lowest corner, mm. z = 0 lies between two layers of cells."""
    cell: float
    """Side of a cell, mm."""
    fine: int
    """Sub-cells along it."""
    parts: tuple[str, ...]
    """Names of the solids."""
    fill: Singles
    """(X, Y, Z) volume of material by that of a sub-cell; 0 outside. A sub-cell that is filled to less than a
    half counts as void and leaves what it has to a neighbour, so that this may pass 1."""
    part: Bytes
    """(X, Y, Z) 0 outside, else 1 and up for the part it belongs to."""
    skin: Bytes
    """(X, Y, Z) how much of the material is skin, from 0 to `WHOLLY`; the rest is infill."""

    @property
    def step(self) -> float:
        """Side of a sub-cell, mm."""
        return self.cell / self.fine

    @property
    def shape(self) -> tuple[int, int, int]:
        """Cells along x, y and z."""
        x, y, z = (each // self.fine for each in self.fill.shape)
        return x, y, z

    @property
    def regions(self) -> tuple[str, ...]:
        """Names of what has a modulus of its own: skin and infill of each part, in this order."""
        return tuple(f"{part} {kind}" for part in self.parts for kind in ("skin", "infill"))

    @cached_property
    def volumes(self) -> Floats:
        """Volume of each region, mm3."""
        weights = self.fill.astype(np.float64)
        skins = np.bincount(self.part.ravel(), (weights * self.skin).ravel(), len(self.parts) + 1) / WHOLLY
        whole = np.bincount(self.part.ravel(), weights.ravel(), len(self.parts) + 1)
        return np.column_stack([skins, whole - skins])[1:].ravel() * self.step**3

    @property
    def volume(self) -> float:
        """Volume of all material, mm3."""
        return float(self.volumes.sum())

    def by_cell(self, values: NDArray[np.generic]) -> NDArray[np.generic]:
        """Look at an array over the sub-cells cell by cell: (x, y, z, fine, fine, fine), without a copy."""
        (x, y, z), n = self.shape, self.fine
        return values.reshape(x, n, y, n, z, n).transpose(0, 2, 4, 1, 3, 5)


def voxelise(
    solids: Mapping[str, Solid],
    cell: float,
    skins: Mapping[str, float],
    shift: tuple[float, float] = (0.0, 0.0),
    progress: Progress = SILENT,
) -> CellGrid:
    """Divide solids into cells.

    Parameters
    ----------
    solids
        By name, mm, not overlapping; the finished back on z = 0.
    cell
        Side of a cell, mm.
    skins
        How thick the skin of each solid is, mm: `math.inf` where it is solid throughout, 0 where it has none.
    shift
        Moves the grid along x and y, mm: results that change with it are the grid's, not the hold's.

    Raises
    ------
    GeometryError
        When that would be too many cells, or nothing is left of a solid on so coarse a grid.

    Notes
    -----
    Upright lines, two by two per sub-cell, meet the surface exactly (see `geometry/measure/crossings.py`), so
    that flat faces at any height keep their place. The skin reaches as deep as the Euclidean distance to the
    outside of the part says, with fractions in the innermost sub-cells.
    """
    fine = max(2, min(FINE, round(cell / FINEST)))
    origin, lattice = _laid_over(solids, cell, fine, shift)
    fills = []
    for number, solid in enumerate(solids.values()):
        progress.report(0.7 * number / len(solids), "dividing the hold into cells")
        fills.append(filling(lattice, solid.mesh, finer=_COLUMNS))
    fill, part = _parted(fills)
    skin = np.zeros(part.shape, dtype=np.uint8)
    for number, name in enumerate(solids, start=1):
        progress.report(0.7 + 0.3 * (number - 1) / len(solids), "looking for the skin")
        own = part == number
        if not own.any():
            raise GeometryError(
                f"Nothing of {name} is left on a grid of {cell:.3g} mm; ask for finer cells or a bigger hold."
            )
        _mark_skin(skin, own, skins[name] / lattice.spacing)
    for each in (fill, part, skin):
        each.flags.writeable = False
    return CellGrid(origin, cell, fine, tuple(solids), fill, part, skin)


def _laid_over(
    solids: Mapping[str, Solid], cell: float, fine: int, shift: tuple[float, float]
) -> tuple[Floats, Lattice]:
    """Lay sub-cells over solids: lowest corner (3,) of the first cell, and the sub-cells' middles."""
    bounds = np.array([solid.bounds for solid in solids.values()])
    low, high = bounds[:, 0].min(axis=0), bounds[:, 1].max(axis=0)
    offset = np.array([*shift, 0.0])
    origin = np.floor((low - offset) / cell + 1e-9) * cell + offset
    counts = np.maximum(np.ceil((high - origin) / cell - 1e-9).astype(int), 1) * fine
    if np.prod(counts.astype(np.float64)) > MOST_SUB_CELLS:
        raise GeometryError(
            f"A grid of {cell:.3g} mm over {'x'.join(f'{each:.0f}' for each in high - low)} mm has too many "
            "cells; ask for coarser ones."
        )
    shape = (int(counts[0]), int(counts[1]), int(counts[2]))
    return origin, Lattice(origin + cell / fine / 2.0, cell / fine, shape)


def _parted(fills: list[Singles]) -> tuple[Singles, Bytes]:
    """Tell how full sub-cells are with all parts, and of which part each is."""
    total = fills[0] if len(fills) == 1 else np.sum(fills, axis=0, dtype=np.float32)
    solid = np.asarray(total > 0.5)
    part = np.ones(total.shape, dtype=np.uint8)
    most = fills[0]
    for number, fill in enumerate(fills[1:], start=2):
        part[fill > most] = number
        most = np.maximum(most, fill)
    part[~solid] = 0
    left = np.where(solid, np.float32(0.0), total)
    fill = np.where(solid, total, np.float32(0.0))
    for axis in (2, 0, 1):
        for forward in (True, False):
            _hand_over(fill, left, solid, axis, forward)
    return fill, part


def _hand_over(fill: Singles, left: Singles, solid: Mask, axis: int, forward: bool) -> None:
    """Give what is left in void sub-cells to solid neighbours along an axis."""
    here: list[slice] = [slice(None)] * 3
    there = list(here)
    here[axis], there[axis] = slice(None, -1), slice(1, None)
    giver, taker = (tuple(here), tuple(there)) if forward else (tuple(there), tuple(here))
    given = left[giver] * solid[taker]
    fill[taker] += given
    left[giver] -= given


def _mark_skin(skin: Bytes, own: Mask, thickness: float) -> None:
    """Write how much of a part's sub-cells is skin so many sub-cells thick."""
    if math.isinf(thickness):
        skin[own] = WHOLLY
    elif thickness > 0.0:
        reach = math.ceil(thickness) + 1
        share = np.clip(thickness + 1.0 - depths(own, reach)[own], 0.0, 1.0)
        skin[own] = np.round(share * WHOLLY).astype(np.uint8)


def depths(own: Mask, reach: int) -> Singles:
    """Distance of marked sub-cells from the nearest that is not, in sub-cells; exact up to `reach`.

    The squared distance is a minimum along each axis in turn (Felzenszwalb and Huttenlocher, "Distance
    transforms of sampled functions", 2012); for short distances plain shifts are the quickest way to it.
    """
    padded = np.pad(own, 1)
    if reach > 12:
        return np.asarray(distance_transform_edt(padded), dtype=np.float32)[1:-1, 1:-1, 1:-1]
    square = np.where(padded, np.uint16((reach + 1) ** 2), np.uint16(0))
    for axis in range(3):
        before = np.moveaxis(square, axis, 0)
        after = before.copy()
        for k in range(1, reach + 1):
            np.minimum(after[k:], before[:-k] + np.uint16(k * k), out=after[k:])
            np.minimum(after[:-k], before[k:] + np.uint16(k * k), out=after[:-k])
        square = np.moveaxis(after, 0, axis)
    return np.sqrt(square[1:-1, 1:-1, 1:-1], dtype=np.float32)
