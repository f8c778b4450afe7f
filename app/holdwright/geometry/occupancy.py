"""Where a closed mesh is inside and where outside, on a regular grid.

Every triangle's shadow on the xy plane is drawn row by row over the grid's columns; where a column meets the
triangle it crosses the surface, up or down. Summing the signed crossings along a column tells inside from
outside. A row cuts an edge at one and the same number for both its triangles, and intervals are half open: a
column that hits an edge or a vertex counts each sheet exactly once, so that no column leaks and nothing need
be moved at random.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.errors import GeometryError
from holdwright.geometry.sculpt import Floats, Indices
from holdwright.geometry.solid import Solid

Inside = NDArray[np.bool_]
Shares = NDArray[np.float32]

MOST_CELLS = 400_000_000
"""More cells than this is taken for a mistake in the spacing."""


@dataclass(frozen=True, eq=False)
class Lattice:
    """Points of a regular grid in space.

    Attributes
    ----------
    origin
        (3,) float64, mm: the point of index (0, 0, 0).
    spacing
        Distance between neighbours, mm, the same along x, y and z.
    shape
        Number of points along x, y and z.
    """

    origin: Floats
    spacing: float
    shape: tuple[int, int, int]

    def indices(self, points: Floats) -> Floats:
        """Give the (n, 3) continuous indices of (n, 3) points in mm."""
        return np.asarray((points - self.origin) / self.spacing)

    def points(self, indices: Floats | Indices) -> Floats:
        """Give the (n, 3) points in mm of (n, 3) indices."""
        return np.asarray(self.origin + np.asarray(indices) * self.spacing)


@dataclass(frozen=True, eq=False)
class Grid(Lattice):
    """A lattice with the points inside a solid marked.

    Attributes
    ----------
    inside
        (nx, ny, nz) bool. The points' share of the lattice times `spacing` cubed estimates the volume.
    """

    inside: Inside


@dataclass(frozen=True, eq=False)
class Crossings:
    """Where the columns of a lattice cross a surface.

    Attributes
    ----------
    column
        (n,) int64: x index times ny, plus y index.
    height
        (n,) float64: z, in steps of the lattice from its origin.
    step
        (n,) int8: +1 where the column enters the solid going up, -1 where it leaves.
    """

    column: Indices
    height: Floats
    step: NDArray[np.int8]


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


def occupancy(vertices: Floats, triangles: Indices, spacing: float, margin: float = 0.0) -> Grid:
    """Mark the points of a grid inside a closed mesh.

    Parameters
    ----------
    vertices
        (n, 3) float64, mm.
    triangles
        (m, 3) int64, closed and wound outward. Where pieces overlap, a point counts as inside when the sum of
        its crossings is above zero.
    spacing
        Distance between neighbouring points, mm.
    margin
        How far the grid reaches beyond the mesh's bounds on every side, mm.

    Raises
    ------
    GeometryError
        When the grid would be too fine.
    """
    lattice = lattice_over(vertices.min(axis=0), vertices.max(axis=0), spacing, margin)
    return Grid(lattice.origin, lattice.spacing, lattice.shape, mark(lattice, vertices, triangles))


def solid_occupancy(solid: Solid, spacing: float, margin: float = 0.0) -> Grid:
    """Mark the points of a grid inside a solid; see `occupancy`."""
    return occupancy(solid.vertices, solid.triangles, spacing, margin)


def mark(lattice: Lattice, vertices: Floats, triangles: Indices) -> Inside:
    """Give the (nx, ny, nz) bool array of the points of `lattice` inside a closed mesh."""
    met = crossings(lattice, vertices, triangles)
    nx, ny, nz = lattice.shape
    changes = np.zeros((nx * ny, nz + 1), dtype=np.int16)
    level = np.clip(np.ceil(met.height), 0, nz).astype(np.int64)
    np.add.at(changes.reshape(-1), met.column * (nz + 1) + level, met.step.astype(np.int16))
    inside = np.cumsum(changes[:, :nz], axis=1, dtype=np.int16) > 0
    return np.asarray(inside.reshape(nx, ny, nz))


def filling(
    lattice: Lattice, vertices: Floats, triangles: Indices, back: float | None = None, finer: int = 1
) -> Shares:
    """Give how full the cell round each point of a lattice is, from 0 to 1.

    Exact along z and sampled in x and y, so several times more precise than inside or outside alone.

    Parameters
    ----------
    lattice
        May cover only a part of the mesh.
    vertices, triangles
        A closed mesh, mm, wound outward and free of overlaps.
    back
        Height of a wall's plane, mm: what stands on it counts as going on below it without end.
    finer
        Columns per cell along x and along y.

    Returns
    -------
    Shares
        (nx, ny, nz) float32.
    """
    nx, ny, nz = lattice.shape
    corner = lattice.origin[:2] - lattice.spacing * (finer - 1) / (2 * finer)
    stretched = np.column_stack([(vertices[:, :2] - corner) * finer, vertices[:, 2] - lattice.origin[2]])
    met = crossings(Lattice(np.zeros(3), lattice.spacing, (nx * finer, ny * finer, nz)), stretched, triangles)
    height = met.height
    if back is not None:
        at_wall = (back - lattice.origin[2]) / lattice.spacing + 1e-6
        height = np.where(height <= at_wall, -1.0, height)
    height = np.clip(height, -1.0, nz) + 0.5
    level = np.floor(height)
    part = np.where(level < 0, 0.0, height - level)
    changes = np.zeros((nx * ny, nz + 2), dtype=np.float32)
    x, y = np.divmod(met.column, ny * finer)
    cell = ((x // finer) * ny + y // finer) * (nz + 2) + np.maximum(level, 0).astype(np.int64)
    step = met.step / float(finer * finer)
    np.add.at(changes.reshape(-1), cell, ((1.0 - part) * step).astype(np.float32))
    np.add.at(changes.reshape(-1), cell + 1, (part * step).astype(np.float32))
    filled = np.cumsum(changes[:, :nz], axis=1, dtype=np.float32)
    return np.asarray(np.clip(filled, 0.0, 1.0).reshape(nx, ny, nz))


def crossings(lattice: Lattice, vertices: Floats, triangles: Indices) -> Crossings:
    """Find where the columns of a lattice cross a mesh, at any height."""
    nx, ny, _ = lattice.shape
    placed = lattice.indices(vertices)
    corners = placed[triangles]
    reached = _reaching(corners, nx, ny)
    corners = corners[reached]
    order, odd = _by_y(corners[:, :, 1])
    corners = np.take_along_axis(corners, order[:, :, None], axis=1)
    triangle, row = _rows(corners, ny)
    low, middle, high = (corners[triangle, place] for place in range(3))
    long_x, long_z = _where_cut(low, high, row)
    before = row < middle[:, 1]
    short_from = np.where(before[:, None], low, middle)
    short_to = np.where(before[:, None], middle, high)
    short_x, short_z = _where_cut(short_from, short_to, row)
    forward = short_x > long_x
    step = np.where(forward == odd[triangle], 1, -1).astype(np.int8)
    first = np.clip(np.ceil(np.minimum(long_x, short_x)), 0, nx).astype(np.int64)
    count = np.clip(np.ceil(np.maximum(long_x, short_x)), 0, nx).astype(np.int64) - first
    piece, along = unrolled(count)
    across = first[piece] + along
    slope = (short_z - long_z)[piece] / np.where(short_x == long_x, 1.0, short_x - long_x)[piece]
    height = long_z[piece] + (across - long_x[piece]) * slope
    return Crossings(across * ny + row[piece], height, step[piece])


def _reaching(corners: Floats, nx: int, ny: int) -> Inside:
    """Tell which triangles' shadows can cover a column at all."""
    low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    first = np.maximum(np.ceil(low), 0)
    last = np.minimum(np.ceil(high) - 1, (nx - 1, ny - 1))
    return np.asarray((first <= last).all(axis=1))


def _by_y(y: Floats) -> tuple[Indices, Inside]:
    """Order each triangle's corners by y, and tell whether that turned the triangle over."""
    order = np.argsort(y, axis=1, kind="stable")
    odd = (order[:, 1] - order[:, 0]) % 3 == 2
    return order, odd


def _rows(corners: Floats, ny: int) -> tuple[Indices, Indices]:
    """List every pair of a triangle and a row of the lattice that meets it."""
    first = np.clip(np.ceil(corners[:, 0, 1]), 0, ny).astype(np.int64)
    count = np.clip(np.ceil(corners[:, 2, 1]), 0, ny).astype(np.int64) - first
    triangle, along = unrolled(count)
    return triangle, first[triangle] + along


def _where_cut(low: Floats, high: Floats, row: Indices) -> tuple[Floats, Floats]:
    """Give x and z where edges cross a row: the same numbers whichever triangle asks."""
    rise = high[:, 1] - low[:, 1]
    share = (row - low[:, 1]) / np.where(rise == 0.0, 1.0, rise)
    return low[:, 0] + share * (high[:, 0] - low[:, 0]), low[:, 2] + share * (high[:, 2] - low[:, 2])


def unrolled(count: Indices) -> tuple[Indices, Indices]:
    """Count out runs: for counts (2, 0, 3) give owners (0, 0, 2, 2, 2) and places (0, 1, 0, 1, 2)."""
    count = np.maximum(count, 0)
    owner = np.repeat(np.arange(len(count)), count)
    start = np.cumsum(count) - count
    return owner, np.arange(len(owner)) - start[owner]
