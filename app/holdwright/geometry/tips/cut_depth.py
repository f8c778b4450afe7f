"""How deep a plane must cut a tip for its flat to be wide enough."""

import math

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.tips.chamfer_flat import Slope

STEPS = 6
"""Depths tried between one level and the next, twice as deep."""

SHALLOWEST = 0.1
"""A cut goes at least this far in, mm, so that the apex is gone."""


def depth_for(
    points: Floats, triangles: Indices, apex: int, width: float, deepest: float
) -> tuple[Slope, float, bool]:
    """Find the least depth whose flat is wide enough, or else the greatest that takes only the tip.

    Parameters
    ----------
    points, triangles
        The mesh, turned so that the plane's normal is z and the apex the origin, mm.
    apex
        Number of the apex among the points.
    width
        Requested diameter of the largest circle in the flat, mm.
    deepest
        Greatest depth, mm.

    Returns
    -------
    What lies beyond the plane and hangs together with the apex, the depth in mm (0: none will do), and
    whether going deeper would take more than the tip.
    """
    reached = 0.0
    least_area = math.pi * width * width / 4.0
    for level in (deepest / 8, deepest / 4, deepest / 2, deepest):
        slope = Slope.of(points, triangles, apex, level)
        alone = _is_tip_alone(slope, level, width, deepest)
        for depth in (float(each) for each in np.linspace(reached, level, STEPS + 1)[1:]):
            if not (alone and slope.outline(depth).area < least_area):
                tried = slope.shallower(depth)
                if not (alone or _is_tip_alone(tried, depth, width, deepest)):
                    return slope.shallower(reached), reached, True
                if _width(tried, depth, width) >= width:
                    depth = _narrowed(tried, reached, depth, width)
                    return tried.shallower(depth), depth, False
            reached = depth
    return slope, deepest, False


def _is_tip_alone(beyond: Slope, depth: float, width: float, deepest: float) -> bool:
    """Tell whether what a plane takes away is near the apex, and not another, larger part of the hold."""
    points = beyond.beyond(depth)
    rises = float(points[:, 2].max()) > deepest / 3.0
    return not rises and float(np.linalg.norm(points, axis=1).max()) <= deepest + width


def _narrowed(slope: Slope, below: float, above: float, width: float) -> float:
    """Narrow down the depth between one too shallow and one deep enough."""
    for _ in range(40):
        if above - below < 1e-4:
            break
        low, high = _width(slope, below, width, exactly=True), _width(slope, above, width, exactly=True)
        if high - width < 0.005:
            break
        fraction = min(max((width - low) / (high - low), 0.05), 0.95) if high > low else 0.5
        middle = below + fraction * (above - below)
        if _width(slope, middle, width) >= width:
            above = middle
        else:
            below = middle
    return max(above, SHALLOWEST)


def _width(slope: Slope, depth: float, requested: float, exactly: bool = False) -> float:
    """Diameter of the largest circle in the flat at a depth; 0 when its area shows it to be too small."""
    if depth <= 0.0:
        return 0.0
    outline = slope.shallower(depth).outline(depth)
    if len(outline.lean) == 0 or (not exactly and outline.area < math.pi * requested * requested / 4.0):
        return 0.0
    return 2.0 * outline.largest_circle(0.002)[1]
