"""How far a ceiling is printed through the air."""

import numpy as np
from manifold3d import CrossSection, FillRule

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.measure.sections import Outlines

DIRECTIONS = 36
"""Directions of a bridge that are tried, evenly apart."""
_LINES = 200
_SMOOTH = 0.01


def widest_bridge(outlines: Outlines) -> tuple[float, Floats]:
    """Find the widest bridge of ceilings, printed face down.

    Each ceiling is bridged in the direction in which its longest straight run is shortest.

    Parameters
    ----------
    outlines
        Closed outlines (n, 2) of the ceilings, mm.

    Returns
    -------
    tuple
        That run of the ceiling where it is longest, mm, and its middle (2,).
    """
    longest, middle = 0.0, np.zeros(2)
    for ceiling in CrossSection(outlines, FillRule.NonZero).simplify(_SMOOTH).decompose():
        rings = [np.asarray(ring, dtype=np.float64) for ring in ceiling.to_polygons()]
        start = np.concatenate(rings)
        end = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
        runs = (_longest_run(start, end, angle) for angle in np.arange(DIRECTIONS) * np.pi / DIRECTIONS)
        length, place = min(runs, key=lambda run: run[0])
        if length > longest:
            longest, middle = length, place
    return longest, middle


def _longest_run(start: Floats, end: Floats, angle: float) -> tuple[float, Floats]:
    """Find the longest run of parallel lines within edges (n, 2) to (n, 2), and its middle."""
    along = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-along[1], along[0]])
    low, high = float((start @ across).min()), float((start @ across).max())
    step = (high - low) / _LINES
    # In lines from half a step above the lowest corner; intervals are half open, so runs pair up.
    a, b = ((points @ across - low) / step - 0.5 for points in (start, end))
    first, last = np.ceil(np.minimum(a, b)).astype(np.int64), np.ceil(np.maximum(a, b)).astype(np.int64)
    edge, line = unrolled(last - first, first)
    share = (line - a[edge]) / (b[edge] - a[edge])
    reach = start[edge] @ along + share * ((end - start)[edge] @ along)
    order = np.lexsort((reach, line))
    reach, line = reach[order].reshape(-1, 2), line[order][::2]
    runs = reach[:, 1] - reach[:, 0]
    best = int(np.argmax(runs))
    return float(runs[best]), reach[best].mean() * along + (low + (line[best] + 0.5) * step) * across
