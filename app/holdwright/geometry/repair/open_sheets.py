"""Telling an open surface that bounds a solid from one that does not: a sheet, a strip, loose triangles."""

from collections.abc import Sequence

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.boundary_loops import Loop
from holdwright.geometry.repair.hole_filling import nested

_FLAT = 1e-8
"""Volume below this share of its area times its extent means a piece has no inside (a folded sheet)."""

SHEET = 0.5
"""Holes of this share of the surface's area are closed only if the rim is flat and all lies behind it."""

NEARLY_ALL = 0.9
"""Holes of this share of the surface's own area are never closed: it is a sheet, however flat its rim."""


def why_no_solid(vertices: Floats, triangles: Indices, loops: Sequence[Loop], largest_hole: float) -> str:
    """Say why the holes of a surface cannot be closed in good faith; blank where they can.

    Parameters
    ----------
    vertices, triangles
        The surface, wound outward.
    loops
        Its rims.
    largest_hole
        Widest hole that may be closed, as a share of the diagonal of the surface's box.

    Notes
    -----
    A sculpt cut off flat has a rim in one plane and lies on one side of it; half a ball, say, has a hole of
    half its own area. A piece of terrain has a rim that goes up and down with it, on both sides of any plane.
    """
    if not loops:
        return ""
    largest = max(loops, key=lambda loop: loop.area)
    extent = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    height = (vertices[triangles].mean(axis=1) - largest.middle) @ -largest.normal
    if len(triangles) == 1 or np.abs(height).max() <= 1e-6 * extent:
        return flat_words(len(triangles))
    open_ = sum(group[0].area - sum(each.area for each in group[1:]) for group in nested(vertices, loops))
    if _is_sheet(areas_of(vertices, triangles), height / extent, open_, largest.lift / extent):
        return (
            f"it is an open sheet, its rim of {len(largest.corners)} edges about as wide as itself, so that "
            "nothing says where its back would be"
        )
    widest = max(loop.span for loop in loops) / extent
    if widest > largest_hole:
        return (
            f"it has a hole as wide as {widest:.0%} of its own extent, and holes are closed up to "
            f"{largest_hole:.0%}"
        )
    return ""


def is_flat(volume: float, area: float, extent: float) -> bool:
    """Tell a closed surface that encloses nothing from a needle."""
    return abs(volume) <= _FLAT * area * extent


def flat_words(count: int) -> str:
    """Say what a surface of so many triangles without volume is."""
    return "it is a single loose triangle" if count == 1 else "it is flat: it has no volume"


def areas_of(vertices: Floats, triangles: Indices) -> Floats:
    """Give the (m,) areas of triangles."""
    a, b, c = (vertices[triangles[:, corner]] for corner in range(3))
    return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2.0)


def _is_sheet(areas: Floats, height: Floats, open_: float, lift: float) -> bool:
    share = open_ / float(areas.sum())
    if share <= SHEET:
        return False
    behind = float(areas[height < -0.02].sum() / areas.sum())
    return share > NEARLY_ALL or behind > 0.03 or lift > 0.4 * float(np.quantile(height, 0.95))
