"""A solid as columns: what lies on upright lines through the points of a grid."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import crossings_of
from holdwright.geometry.mesh.mesh import Mesh


@dataclass(frozen=True)
class Grid:
    """Points (x, y) = (`x` + i * `step`, `y` + j * `step`), `columns` by `rows` of them, mm."""

    x: float
    y: float
    step: float
    columns: int
    rows: int

    @classmethod
    def over(cls, low: Floats, high: Floats, step: float) -> "Grid":
        """Cover the rectangle from `low` to `high` (2,), a multiple of `step` from the origin."""
        first = np.floor(np.asarray(low) / step).astype(int)
        last = np.ceil(np.asarray(high) / step).astype(int)
        columns, rows = last - first + 1
        return cls(float(first[0] * step), float(first[1] * step), step, int(columns), int(rows))

    @classmethod
    def around(cls, x: float, y: float, reach: float, step: float) -> "Grid":
        """Cover the square of half width `reach` round (x, y), alike on all sides of it."""
        half = int(np.ceil(reach / step))
        return cls(x - half * step, y - half * step, step, 2 * half + 1, 2 * half + 1)

    @property
    def shape(self) -> tuple[int, int]:
        """Shape of arrays over the grid: y first, then x."""
        return (self.rows, self.columns)

    @cached_property
    def places(self) -> tuple[Floats, Floats]:
        """X and y of all points, each of the grid's shape."""
        x, y = np.meshgrid(
            self.x + self.step * np.arange(self.columns), self.y + self.step * np.arange(self.rows)
        )
        return x, y


@dataclass(frozen=True, eq=False)
class Columns:
    """The stretches of material on each of the grid's upright lines, from low to high."""

    grid: Grid
    cell: Indices
    """(n,) index of the line a stretch is on, row by row; ascending."""
    low: Floats
    high: Floats
    """low and high: (n,) its ends, mm; ascending along each line."""

    @cached_property
    def _first(self) -> Mask:
        return np.asarray(np.diff(self.cell, prepend=-1) != 0)

    @cached_property
    def first(self) -> tuple[Floats, Floats]:
        """Ends of the lowest stretch of every line, in the grid's shape; NaN where a line meets nothing."""
        return self._spread(self._first)

    @cached_property
    def above_first(self) -> Floats:
        """Length of material above the lowest stretch of every line, in the grid's shape, mm."""
        length = np.zeros(self.grid.shape)
        rest = ~self._first
        np.add.at(length.reshape(-1), self.cell[rest], self.high[rest] - self.low[rest])
        return length

    def at(self, height: float) -> tuple[Floats, Floats]:
        """Give the ends of each line's stretch at `height`, in the grid's shape; NaN where it has none."""
        return self._spread((self.low <= height) & (height < self.high))

    def filled(self, height: float) -> Mask:
        """Whether there is material at `height`, in the grid's shape."""
        return ~np.isnan(self.at(height)[0])

    def _spread(self, chosen: Mask) -> tuple[Floats, Floats]:
        low, high = np.full(self.grid.shape, np.nan), np.full(self.grid.shape, np.nan)
        low.reshape(-1)[self.cell[chosen]] = self.low[chosen]
        high.reshape(-1)[self.cell[chosen]] = self.high[chosen]
        return low, high


def columns(surface: Mesh, grid: Grid) -> Columns:
    """Find the stretches of material on the upright lines of a grid.

    Parameters
    ----------
    surface
        Closed, mm, wound outward.
    grid
        A line on an upright face or edge falls to either side, but to the same for the whole line.
    """
    points = surface.vertices
    x, y = (points[:, 0] - grid.x) / grid.step, (points[:, 1] - grid.y) / grid.step
    met = crossings_of(np.column_stack([x, y, points[:, 2]]), surface.triangles, (grid.columns, grid.rows))
    cell = met.y * grid.columns + met.x
    order = np.lexsort((-met.step, met.height, cell))
    cell, height, step = cell[order], met.height[order], met.step[order]
    depth = np.cumsum(step, dtype=np.int64)
    low = (depth == 1) & (step == 1)
    high = (depth == 0) & (step == -1)
    stretch = height[high] > height[low]
    return Columns(grid, cell[low][stretch], height[low][stretch], height[high][stretch])
