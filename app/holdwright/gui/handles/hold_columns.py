"""The hold as upright columns, made once, so that a bore's figures follow the hand."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_site import COLLAR, BoreSite
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.pipeline.display_results import Surface

STEP: Final = 0.5
"""Distance between columns, mm."""

_ON_BACK: Final = 0.05
"""A column starts on the back where it starts no higher above it, mm."""


@dataclass(frozen=True, eq=False)
class DepthMap:
    """Columns over the whole hold, finished back on z = 0."""

    columns: Columns

    @classmethod
    def of(cls, surface: Surface) -> "DepthMap":
        """Measure a surface, mm, closed and wound outward."""
        points = surface.vertices.astype(np.float64)
        low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
        reach = float((high - low).max())
        step = STEP * max(1.0, reach / 300.0)
        grid = Grid.over(low - step, high + step, step)
        return cls(columns(points, surface.triangles.astype(np.int64), grid))

    def on_back(self, x: float, y: float) -> tuple[float, float]:
        """Give the place on the back nearest to one on the wall: itself where that is on it."""
        low, _ = self.columns.first
        with np.errstate(invalid="ignore"):
            carried = low < _ON_BACK
        if not carried.any():
            return x, y
        grid = self.columns.grid
        row, column = round((y - grid.y) / grid.step), round((x - grid.x) / grid.step)
        if 0 <= row < grid.rows and 0 <= column < grid.columns and carried[row, column]:
            return x, y
        rows, cols = np.nonzero(carried)
        near = int(np.argmin((grid.x + cols * grid.step - x) ** 2 + (grid.y + rows * grid.step - y) ** 2))
        return float(grid.x + cols[near] * grid.step), float(grid.y + rows[near] * grid.step)

    def site(self, shape: BoreShape) -> BoreSite:
        """Give the columns round an upright bore as the step itself measures them."""
        grid = self.columns.grid
        reach = shape.pocket_diameter / 2 + COLLAR
        first = np.floor((np.array([shape.x, shape.y]) - reach - (grid.x, grid.y)) / grid.step).astype(int)
        last = np.ceil((np.array([shape.x, shape.y]) + reach - (grid.x, grid.y)) / grid.step).astype(int)
        first = np.clip(first, 0, (grid.columns - 1, grid.rows - 1))
        last = np.clip(last, first, (grid.columns - 1, grid.rows - 1))
        wide, high = (int(count) for count in last - first + 1)
        row, column = np.divmod(self.columns.cell, grid.columns)
        within = (column >= first[0]) & (column <= last[0]) & (row >= first[1]) & (row <= last[1])
        window = Grid(
            grid.x + first[0] * grid.step - shape.x,
            grid.y + first[1] * grid.step - shape.y,
            grid.step,
            wide,
            high,
        )
        cell = (row[within] - first[1]) * wide + (column[within] - first[0])
        found = Columns(window, cell, self.columns.low[within], self.columns.high[within])
        return BoreSite(replace(shape, x=shape.x, y=shape.y), found)

    def tops(self, places: Floats) -> Floats:
        """Give the height of the material's top at (n, 2) places; 0 beside the hold."""
        grid = self.columns.grid
        _, high = self.columns.first
        cell = np.rint((places - (grid.x, grid.y)) / grid.step).astype(int)
        inside = ((cell >= 0) & (cell < (grid.columns, grid.rows))).all(axis=1)
        tops = np.zeros(len(places))
        tops[inside] = np.nan_to_num(high[cell[inside, 1], cell[inside, 0]], nan=0.0)
        return tops
