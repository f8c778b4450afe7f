"""A solid as columns: what lies on upright lines through the points of a grid.

Each triangle's shadow is cut into rows of grid points. Where a row enters and leaves a shadow is worked out
edge by edge, always from the edge's lower end, so that two triangles that share an edge agree to the last bit
and a closed surface gives columns that close, without any tolerance.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.sculpt import Floats, Indices

Mask = NDArray[np.bool_]


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
    """The stretches of material on each of the grid's upright lines, from low to high.

    Attributes
    ----------
    cell
        (n,) index of the line a stretch is on, row by row; ascending.
    low, high
        (n,) its ends, mm; ascending along each line.
    """

    grid: Grid
    cell: Indices
    low: Floats
    high: Floats

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


def columns(vertices: Floats, triangles: Indices, grid: Grid) -> Columns:
    """Find the stretches of material on the upright lines of a grid.

    Parameters
    ----------
    vertices
        (n, 3) float64, mm.
    triangles
        (m, 3) indices, a closed surface wound outward.
    grid
        A line on an upright face or edge falls to either side, but to the same for the whole line.
    """
    cell, height, enters = _crossings(vertices, triangles, grid)
    order = np.lexsort((~enters, height, cell))
    cell, height = cell[order], height[order]
    step = np.where(enters[order], 1, -1)
    depth = np.cumsum(step)
    low = (depth == 1) & (step == 1)
    high = (depth == 0) & (step == -1)
    stretch = height[high] > height[low]
    return Columns(grid, cell[low][stretch], height[low][stretch], height[high][stretch])


def _crossings(vertices: Floats, triangles: Indices, grid: Grid) -> tuple[Indices, Floats, Mask]:
    """Grid line, height and whether it goes into the material, for each crossing of line and surface."""
    points = np.column_stack(
        [(vertices[:, 0] - grid.x) / grid.step, (vertices[:, 1] - grid.y) / grid.step, vertices[:, 2]]
    )
    x, y = _over_lines(points[:, 0], triangles), _over_lines(points[:, 1], triangles)
    near = (x[0] < np.minimum(x[1], grid.columns)) & (y[0] < np.minimum(y[1], grid.rows))
    near &= (x[1] > 0) & (y[1] > 0)
    corners = points[triangles[near]]
    order = np.argsort(corners[:, :, 1], axis=1, kind="stable")
    # Order 012, 120, 201 keeps the winding; so does none of the other three.
    even = (order[:, 1] - order[:, 0]) % 3 == 1
    corners = np.take_along_axis(corners, order[:, :, None], axis=1)
    owner, row, left, right, enters = _row_spans(corners, even, grid)
    return _points_of_rows(corners, owner, row, left, right, enters, grid)


def _over_lines(along: Floats, triangles: Indices) -> tuple[Floats, Floats]:
    """First grid line a triangle may meet and the first beyond it, along x or y."""
    lines = np.ceil(along)
    a, b, c = lines[triangles[:, 0]], lines[triangles[:, 1]], lines[triangles[:, 2]]
    return np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)


def _row_spans(corners: Floats, even: Mask, grid: Grid) -> tuple[Indices, Indices, Floats, Floats, Mask]:
    """Cut triangles (m, 3, 3), corners by rising y, into rows: owner, row, ends in x, if it faces down."""
    y = corners[:, :, 1]
    start = np.clip(np.ceil(y[:, 0]), 0, grid.rows).astype(np.int64)
    end = np.clip(np.ceil(y[:, 2]), 0, grid.rows).astype(np.int64)
    owner, row = unrolled(start, end)
    a, b, c = corners[owner, 0], corners[owner, 1], corners[owner, 2]
    lower = row < b[:, 1]
    begin, finish = np.where(lower[:, None], a, b), np.where(lower[:, None], b, c)
    bent = _x_at(row, begin, finish)
    straight = _x_at(row, a, c)
    enters = (bent > straight) != even[owner]
    return owner, row, np.minimum(bent, straight), np.maximum(bent, straight), enters


def _x_at(row: Indices, low: Floats, high: Floats) -> Floats:
    rise = high[:, 1] - low[:, 1]
    # Rows lie in low.y <= row < high.y, so the rise is never zero where the result is used.
    share = (row - low[:, 1]) / np.where(rise > 0, rise, 1.0)
    return np.asarray(low[:, 0] + share * (high[:, 0] - low[:, 0]))


def _points_of_rows(
    corners: Floats, owner: Indices, row: Indices, left: Floats, right: Floats, enters: Mask, grid: Grid
) -> tuple[Indices, Floats, Mask]:
    start = np.clip(np.ceil(left), 0, grid.columns).astype(np.int64)
    end = np.clip(np.ceil(right), 0, grid.columns).astype(np.int64)
    span, column = unrolled(start, end)
    owner, row, enters = owner[span], row[span], enters[span]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = -normal[:, :2] / normal[:, 2:]
    low, high = corners[:, :, 2].min(axis=1), corners[:, :, 2].max(axis=1)
    a = corners[owner, 0]
    along = (column - a[:, 0]) * slope[owner, 0] + (row - a[:, 1]) * slope[owner, 1]
    height = np.clip(a[:, 2] + np.nan_to_num(along, posinf=0.0, neginf=0.0), low[owner], high[owner])
    return row * grid.columns + column, height, enters


def unrolled(start: Indices, end: Indices) -> tuple[Indices, Indices]:
    """Give each whole number from `start` to before `end` of every range, with the range it is from."""
    counts = np.maximum(end - start, 0)
    owner = np.repeat(np.arange(len(counts)), counts)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts) + start[owner]
    return owner, number
