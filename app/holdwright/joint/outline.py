"""Integrals over what closed outlines enclose.

Outlines are (n, 2) in mm, wound anticlockwise round material and clockwise round holes, so that holes take
themselves off. Every integral is a sum over edges, and holds for any shape and any origin.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.columns import Grid
from holdwright.geometry.measure.sections import inside as inside

Outlines = Sequence[Floats]

LINES = 4
"""Lines by which a square's cover is measured."""


@dataclass(frozen=True, eq=False)
class Moments:
    """Area (mm2), first moments (2,) (mm3) and second moments (2, 2) (mm4) about the origin."""

    area: float
    first: Floats
    second: Floats


def moments(outlines: Outlines) -> Moments:
    """Integrate 1, (x, y) and (x, y)^T (x, y) over what outlines enclose (Green's theorem)."""
    start, end = _edges(outlines)
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    both = start + end
    second = (both.T * cross) @ both + (start.T * cross) @ start + (end.T * cross) @ end
    return Moments(float(cross.sum()) / 2.0, cross @ both / 6.0, second / 24.0)


def coverage(outlines: Outlines, grid: Grid) -> Floats:
    """Area (rows, columns) of what outlines enclose in the square round each point of a grid, mm2.

    Exact across, and from `LINES` lines to a square up the grid.
    """
    start, end = _edges(outlines)
    step, apart = grid.step, grid.step / LINES
    lines = grid.y - step / 2 + apart * (np.arange(grid.rows * LINES) + 0.5)
    first, last = np.searchsorted(lines, start[:, 1]), np.searchsorted(lines, end[:, 1])
    crossed = np.abs(last - first)
    edge = np.repeat(np.arange(len(start)), crossed)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(crossed) - crossed, crossed)
    line += np.minimum(first, last)[edge]
    way = (end - start)[edge]
    x = start[edge, 0] + (lines[line] - start[edge, 1]) / way[:, 1] * way[:, 0]
    along = (x - grid.x) / step + 0.5
    # Right of an edge that runs down there is material, right of one that runs up there is none.
    column, sign = np.floor(along).astype(np.intp), -np.sign(way[:, 1])
    starts = np.zeros((grid.rows, grid.columns + 2))
    np.add.at(starts, (line // LINES, column), sign * (column + 1.0 - along))
    np.add.at(starts, (line // LINES, column + 1), sign * (along - column))
    return np.asarray(np.maximum(np.cumsum(starts, axis=1)[:, :-2], 0.0) * step * apart)


def _edges(outlines: Outlines) -> tuple[Floats, Floats]:
    if not outlines:
        return np.empty((0, 2)), np.empty((0, 2))
    return np.concatenate(list(outlines)), np.concatenate([np.roll(each, -1, axis=0) for each in outlines])
