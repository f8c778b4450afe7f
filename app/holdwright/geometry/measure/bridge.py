"""How far a ceiling is printed through the air."""

import numpy as np
from manifold3d import CrossSection, FillRule

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.measure.sections import Outlines, inside

DIRECTIONS = 36
"""Directions of a bridge that are tried, evenly apart; those of its longest free edges besides."""

LOOSE = 0.1
"""Share of a bridge, by length, that may hang free at an end: corners, and lines a little askew."""

_LINES = 200
_SMOOTH = 0.01
_BESIDE = 0.05
_FREE_EDGES = 4


def widest_bridge(outlines: Outlines, layer: Outlines | None = None) -> tuple[float, Floats]:
    """Find the widest bridge of ceilings, printed face down.

    Each ceiling is bridged in the direction in which its longest straight run is shortest.

    Parameters
    ----------
    outlines
        Closed outlines (n, 2) of the ceilings, mm.
    layer
        Those of the layer they are part of: where that ends with a ceiling, nothing holds it; None: ceilings
        are held all round.

    Returns
    -------
    tuple
        That run of the ceiling where it is longest, mm, and its middle (2,); infinite where a ceiling hangs
        free in every direction.
    """
    longest, middle = 0.0, np.zeros(2)
    for ceiling in CrossSection(outlines, FillRule.NonZero).simplify(_SMOOTH).decompose():
        start, end = edges_of([np.asarray(ring, dtype=np.float64) for ring in ceiling.to_polygons()])
        angles, free = np.arange(DIRECTIONS) * np.pi / DIRECTIONS, np.zeros(len(start), dtype=np.bool_)
        if layer is not None:
            free = free_edges(start, end, layer)
            way = (end - start)[free]
            long = np.argsort(-np.hypot(*way.T), kind="stable")[:_FREE_EDGES]
            angles = np.concatenate([angles, np.arctan2(way[long, 1], way[long, 0]) % np.pi])
        length, place = min((_longest_run(start, end, free, each) for each in angles), key=lambda run: run[0])
        if length > longest:
            longest, middle = length, place
    return longest, middle


def edges_of(outlines: Outlines) -> tuple[Floats, Floats]:
    """Give starts (n, 2) and ends (n, 2) of the edges of closed outlines."""
    return np.concatenate(outlines), np.concatenate([np.roll(ring, -1, axis=0) for ring in outlines])


def free_edges(start: Floats, end: Floats, layer: Outlines) -> Mask:
    """Tell which edges (n, 2) to (n, 2), material to their left, have nothing of the layer to their right."""
    way = end - start
    across = np.column_stack([way[:, 1], -way[:, 0]]) / np.maximum(np.hypot(*way.T), 1e-300)[:, None]
    return ~inside((start + end) / 2.0 + _BESIDE * across, layer)


def _longest_run(start: Floats, end: Floats, free: Mask, angle: float) -> tuple[float, Floats]:
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
    loose = free[edge][order].reshape(-1, 2).any(axis=1)
    reach, line = reach[order].reshape(-1, 2), line[order][::2]
    runs = reach[:, 1] - reach[:, 0]
    hangs = float(runs[loose].sum()) > LOOSE * float(runs.sum())
    best = int(np.argmax(np.where(loose, 0.0, runs)))
    middle = reach[best].mean() * along + (low + (line[best] + 0.5) * step) * across
    return np.inf if hangs else float(runs[best]), middle
