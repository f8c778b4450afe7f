"""Where upright lines through the points of a grid cross a surface.

Every triangle's shadow on the xy plane is cut into the grid's rows; where a row's points lie in the shadow,
their lines cross the triangle. A row cuts an edge at one and the same number for both its triangles, always
reckoned from the edge's lower end, and intervals are half open: a line that hits an edge or a vertex counts
each sheet exactly once. So the lines through a closed surface leave it as often as they enter it, without any
tolerance and with nothing moved at random.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices, Mask


@dataclass(frozen=True, eq=False)
class Crossings:
    """Where the upright lines of a grid cross a surface, in no order."""

    shape: tuple[int, int]
    """Number of lines along x and along y."""
    x: Indices
    y: Indices
    """x and y: (n,) int64, the line's place in the grid."""
    height: Floats
    """(n,) float64."""
    step: NDArray[np.int8]
    """(n,) int8: +1 where the line enters the material going up, -1 where it leaves."""

    @cached_property
    def column(self) -> Indices:
        """(n,) int64 number of the line, counted along y first: x times the number along y, plus y."""
        return self.x * self.shape[1] + self.y


def crossings_of(points: Floats, triangles: Indices, shape: tuple[int, int]) -> Crossings:
    """Find where upright lines cross a surface, at any height.

    Parameters
    ----------
    points
        (n, 3) float64: x and y in steps of the grid from its first point, z in any unit.
    triangles
        (m, 3) indices, wound outward.
    shape
        Number of lines along x and along y.
    """
    x, y, z = (np.ascontiguousarray(points[:, axis]) for axis in range(3))
    low, middle, high, odd = _by_y(y, triangles[_reaching(x, y, triangles, shape)])
    first = _line(y[low], shape[1])
    triangle, row = unrolled(_line(y[high], shape[1]) - first, first)
    low, middle, high = low[triangle], middle[triangle], high[triangle]
    before = row < y[middle]
    start, end = np.where(before, low, middle), np.where(before, middle, high)
    # Rows lie from the lower end to below the upper one, so that no edge asked for is level.
    long_share, short_share = _share(y, low, high, row), _share(y, start, end, row)
    long_x, short_x = _between(x, low, high, long_share), _between(x, start, end, short_share)
    forward = short_x > long_x
    first, last = _line(np.minimum(long_x, short_x), shape[0]), _line(np.maximum(long_x, short_x), shape[0])
    count = last - first
    met = np.flatnonzero(count)
    long_z = _between(z, low[met], high[met], long_share[met])
    rise = _between(z, start[met], end[met], short_share[met]) - long_z
    long_x, width = long_x[met], (short_x - long_x)[met]
    step = np.where(forward == odd[triangle], 1, -1).astype(np.int8)[met]
    span, across = unrolled(count[met], first[met])
    height = long_z[span] + (across - long_x[span]) / width[span] * rise[span]
    return Crossings(shape, across, row[met][span], height, step[span])


def unrolled(count: Indices, start: Indices | int = 0) -> tuple[Indices, Indices]:
    """Count out ranges: for counts (2, 0, 3) give their owners (0, 0, 2, 2, 2) and numbers (0, 1, 0, 1, 2).

    Parameters
    ----------
    count
        (n,) how many each range has.
    start
        (n,) the first number of each.
    """
    owner = np.repeat(np.arange(len(count)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count - start, count)


def _reaching(x: Floats, y: Floats, triangles: Indices, shape: tuple[int, int]) -> Mask:
    """Tell which triangles' shadows can cover a line at all."""
    reaching = np.ones(len(triangles), dtype=bool)
    for along, count in ((x, shape[0]), (y, shape[1])):
        lines = np.clip(np.ceil(along), 0, count)
        a, b, c = (lines[triangles[:, corner]] for corner in range(3))
        reaching &= (a != b) | (b != c)
    return reaching


def _by_y(y: Floats, triangles: Indices) -> tuple[Indices, Indices, Indices, Mask]:
    """Give each triangle's vertices by rising y, and whether to put them so turned the triangle over."""
    order = np.argsort(y[triangles], axis=1, kind="stable")
    odd = (order[:, 1] - order[:, 0]) % 3 == 2
    low, middle, high = np.take_along_axis(triangles, order, axis=1).T
    return low, middle, high, odd


def _line(along: Floats, count: int) -> Indices:
    """Give the first of a number of lines that lies at or beyond each place."""
    return np.clip(np.ceil(along), 0, count).astype(np.int64)


def _share(y: Floats, low: Indices, high: Indices, row: Indices) -> Floats:
    """Give how far up edges cross a row."""
    return (row - y[low]) / (y[high] - y[low])


def _between(values: Floats, low: Indices, high: Indices, share: Floats) -> Floats:
    return values[low] + share * (values[high] - values[low])
