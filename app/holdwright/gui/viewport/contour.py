"""Where a surface has a given height above something: a plane's cut, or a value's limit."""

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.pipeline.display_results import Surface


def contour(surface: Surface, height: NDArray[np.floating]) -> tuple[Floats, Indices]:
    """Find the lines at height 0, closed ones where the surface is closed.

    A line's points are named by the edges they lie on, so that neighbouring triangles share them exactly and
    nothing has to be welded. A vertex at height 0 counts as below it, and stands for all edges ending there.

    Parameters
    ----------
    height
        (n,) one for each vertex.

    Returns
    -------
    (p, 3) points in mm and (k, 2) segments between them.
    """
    above = height > 0
    sides = above[surface.triangles].sum(axis=1)
    crossing = surface.triangles[(sides > 0) & (sides < 3)].astype(np.int64)
    if not len(crossing):
        return np.zeros((0, 3)), np.zeros((0, 2), dtype=np.int64)
    start, stop = crossing, np.roll(crossing, -1, axis=1)
    crossed = above[start] != above[stop]
    upper = np.where(above[start], start, stop)[crossed]
    lower = np.where(above[start], stop, start)[crossed]
    upper = np.where(height[lower] == 0, lower, upper)
    _, first, name = np.unique(lower * len(height) + upper, return_index=True, return_inverse=True)
    upper, lower = upper[first], lower[first]
    share = -height[lower] / np.where(upper == lower, 1.0, height[upper] - height[lower])
    low = surface.vertices[lower].astype(np.float64)
    points = low + (surface.vertices[upper] - low) * share[:, None]
    lines = name.reshape(-1, 2)
    return points, lines[lines[:, 0] != lines[:, 1]]
