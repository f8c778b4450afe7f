"""What the surface is like round about a sharp place: a tip, a needle's end, or part of an edge."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.occupancy import Fractions, Inside
from holdwright.geometry.tips.ball_fraction import FINENESS

NEIGHBOURS = np.ones((3, 3, 3), dtype=bool)
"""Cells that touch, be it at a corner."""

ALIKE = 1.35
"""Places this much fuller than the sharpest still belong to the same point or edge."""

LONGEST_POINT = 1.5
"""A sharp place longer than this many radii of the ball is an edge, unless it is about as wide as long."""

LARGEST_POINT = 3.0
"""A sharp place longer than this many radii of the ball is an edge in any case."""

RING = (1.0, 1.6)
"""What lies this many radii of the ball from a point is round about it."""

DULL_EDGE = 0.22
"""An edge this full (79 degrees inside) is not sharp, so that where several meet there may be a tip."""

SAME_WAY = 0.75
"""Along one edge, the lattice may show fractions that differ by this factor."""

THIN = 0.35
"""Where nothing round about is fuller than this, and all of it about as full, it is a needle."""

SQUARE_END = 0.45
"""An edge that ends square is half as full at its end as along it; a tip at an edge's end clearly less."""


@dataclass(frozen=True, eq=False)
class Around:
    """What the surface round about a sharp place is like."""

    edge: Floats
    """(3,) mm: a place round about on the sharpest edge that leads away."""
    along: float
    """Fraction of the ball there."""
    low: float
    high: float
    """low, high: fractions of the ball round about: the 5th and 95th of a hundred."""

    def is_tip(self, fraction: float, slack: float = 1.0) -> bool:
        """Tell whether a place of this fraction is pointed all round; more slack where they are rough."""
        pointed = slack * self.along >= DULL_EDGE or fraction < slack * SQUARE_END * self.along
        needle = self.high < min(THIN, 1.8 * self.low) and fraction < 0.75 * self.low
        return pointed or needle


def core_and_ring(local: Fractions, here: tuple[int, ...], step: float) -> tuple[Inside, Inside] | None:
    """Mark the sharp place round a cell, and what is round about it.

    Parameters
    ----------
    local
        Fractions of a surface's cells, infinite where there is no surface.
    here
        The cell.
    step
        The lattice's spacing in radii of the ball.

    Returns
    -------
    Both as masks like `local`; None where the place is an edge, or there is nothing round about.
    """
    surface = _piece_at(np.isfinite(local), here)
    core = _piece_at(surface & (local < ALIKE * max(float(local[here]), 0.01)), here)
    if _is_long(np.argwhere(core).astype(np.float64) * step):
        return None
    distance = ndimage.distance_transform_edt(~core) * step
    ring = surface & (distance >= RING[0]) & (distance <= RING[1])
    return (core, ring) if ring.any() else None


def _piece_at(mask: Inside, cell: tuple[int, ...]) -> Inside:
    """Give the connected part of a mask that holds a cell."""
    labels, _ = ndimage.label(mask, NEIGHBOURS)
    return np.asarray((labels == labels[cell]) & mask)


def way_out(local: Fractions, core: Inside, ring: Inside) -> Indices:
    """Give the cell, (3,), that tells how sharp the sharpest way is that leads away.

    A way is as sharp as its fullest cell, so that another tip round about is of no account in itself; on one
    edge the lattice shows different fractions, so the least of those round about is nearest the truth.
    """
    heights = np.unique(local[np.isfinite(local)])
    below, above = int(np.searchsorted(heights, local[core].max())) - 1, len(heights) - 1
    while above - below > 1:
        middle = (below + above) // 2
        if (_reached(local, core, heights[middle]) & ring).any():
            above = middle
        else:
            below = middle
    fullest = heights[above]
    ends = _reached(local, core, fullest) & ring
    other_tips = (local < SAME_WAY * fullest) & ~_reached(local, core, SAME_WAY * fullest)
    clear = ends & ~ndimage.binary_dilation(other_tips, NEIGHBOURS, iterations=FINENESS - 1)
    cells = np.argwhere(clear if clear.any() else local == fullest)
    return np.asarray(cells[np.argmin(local[tuple(cells.T)])])


def _reached(local: Fractions, core: Inside, fraction: float) -> Inside:
    """Mark what hangs together with a sharp place over cells no fuller than `fraction`."""
    labels, _ = ndimage.label((local <= fraction) | core, NEIGHBOURS)
    return np.asarray(labels == labels[core][0])


def _is_long(places: Floats) -> bool:
    """Tell an edge from a point: places (n, 3) in radii of the ball."""
    extent = float(np.linalg.norm(np.ptp(places, axis=0)))
    if extent <= LONGEST_POINT:
        return False
    _, axes = np.linalg.eigh(np.cov(places.T))
    length, width = np.ptp(places @ axes[:, 2]), np.ptp(places @ axes[:, 1])
    return bool(extent > LARGEST_POINT or width < 0.5 * length)
