"""Where a closed mesh is inside and where outside, on a lattice in space.

Summing the signed crossings of each upright line with the surface, from below, tells inside from outside.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import Crossings, crossings_of
from holdwright.geometry.mesh.mesh import Mesh

Inside = Mask
Fractions = NDArray[np.float32]

MOST_CELLS = 400_000_000
"""More cells than this is taken for a mistake in the spacing."""


@dataclass(frozen=True, eq=False)
class Lattice:
    """Points of a regular grid in space."""

    origin: Floats
    """(3,) float64, mm: the point of index (0, 0, 0)."""
    spacing: float
    """Distance between neighbours, mm, the same along x, y and z."""
    shape: tuple[int, int, int]
    """Number of points along x, y and z."""

    def indices(self, points: Floats) -> Floats:
        """Give the (n, 3) continuous indices of (n, 3) points in mm."""
        return np.asarray((points - self.origin) / self.spacing)

    def points(self, indices: Floats | Indices) -> Floats:
        """Give the (n, 3) points in mm of (n, 3) indices."""
        return np.asarray(self.origin + np.asarray(indices) * self.spacing)


def lattice_over(low: Floats, high: Floats, spacing: float, margin: float = 0.0) -> Lattice:
    """Lay a lattice over the box from `low` to `high`, grown by `margin` (all mm).

    Raises
    ------
    GeometryError
        When that would be more points than any use here has.
    """
    counts = np.ceil((np.asarray(high) - low + 2 * margin) / spacing).astype(np.int64) + 1
    if np.prod(counts.astype(np.float64)) > MOST_CELLS:
        raise GeometryError(
            f"A grid of {spacing:.3g} mm over {counts[0]} x {counts[1]} x {counts[2]} points is too fine; "
            "try a wider spacing."
        )
    slack = ((counts - 1) * spacing - (np.asarray(high) - low)) / 2
    return Lattice(np.asarray(low - slack), float(spacing), (int(counts[0]), int(counts[1]), int(counts[2])))


def crossings(lattice: Lattice, surface: Mesh) -> Crossings:
    """Find where the columns of a lattice cross a mesh, at any height, in steps from the lattice's origin."""
    return crossings_of(lattice.indices(surface.vertices), surface.triangles, lattice.shape[:2])


def mark(lattice: Lattice, met: Crossings) -> Inside:
    """Give the (nx, ny, nz) bool array of the points of a lattice inside a mesh that its columns cross.

    Inside is where the sum of the crossings below is not zero, so that overlaps do not matter.
    """
    nx, ny, nz = lattice.shape
    changes = np.zeros((nx * ny, nz + 1), dtype=np.int16)
    level = np.clip(np.ceil(met.height), 0, nz).astype(np.int64)
    np.add.at(changes.reshape(-1), met.column * (nz + 1) + level, met.step.astype(np.int16))
    inside = np.cumsum(changes[:, :nz], axis=1, dtype=np.int16) != 0
    return np.asarray(inside.reshape(nx, ny, nz))


def filling(lattice: Lattice, surface: Mesh, back: float | None = None, finer: int = 1) -> Fractions:
    """Give how full the cell round each point of a lattice is, from 0 to 1.

    Exact along z and sampled in x and y, so several times more precise than inside or outside alone.

    Parameters
    ----------
    lattice
        May cover only a part of the mesh.
    surface
        Closed, mm, wound outward and free of overlaps.
    back
        Height of a wall's plane, mm: what stands on it counts as going on below it without end.
    finer
        Columns per cell along x and along y.

    Returns
    -------
    Fractions
        (nx, ny, nz) float32.
    """
    nx, ny, nz = lattice.shape
    corner = lattice.origin[:2] - lattice.spacing * (finer - 1) / (2 * finer)
    points = surface.vertices
    stretched = np.column_stack([(points[:, :2] - corner) * finer, points[:, 2] - lattice.origin[2]])
    met = crossings_of(stretched / lattice.spacing, surface.triangles, (nx * finer, ny * finer))
    height = met.height
    if back is not None:
        at_wall = (back - lattice.origin[2]) / lattice.spacing + 1e-6
        height = np.where(height <= at_wall, -1.0, height)
    height = np.clip(height, -1.0, nz) + 0.5
    level = np.floor(height)
    part = np.where(level < 0, 0.0, height - level)
    changes = np.zeros((nx * ny, nz + 2), dtype=np.float32)
    cell = ((met.x // finer) * ny + met.y // finer) * (nz + 2) + np.maximum(level, 0).astype(np.int64)
    step = met.step / float(finer * finer)
    np.add.at(changes.reshape(-1), cell, ((1.0 - part) * step).astype(np.float32))
    np.add.at(changes.reshape(-1), cell + 1, (part * step).astype(np.float32))
    filled = np.cumsum(changes[:, :nz], axis=1, dtype=np.float32)
    return np.asarray(np.clip(filled, 0.0, 1.0).reshape(nx, ny, nz))
