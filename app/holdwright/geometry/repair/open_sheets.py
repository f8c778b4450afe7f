"""Telling an open surface that bounds a solid from one that does not: a sheet, a strip, loose triangles."""

from collections.abc import Sequence

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boundary_loops import Loop
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.hole_filling import nested
from holdwright.geometry.repair.repair_account import Defect

_FLAT = 1e-8
"""Volume below this share of its area times its extent means a piece has no inside (a folded sheet)."""

SHEET = 0.5
"""Holes of this share of the surface's area are closed only if the rim is flat and all lies behind it."""

NEARLY_ALL = 0.9
"""Holes of this share of the surface's own area are never closed: it is a sheet, however flat its rim."""


def why_no_solid(surface: Mesh, loops: Sequence[Loop], largest_hole: float) -> Defect | None:
    """Tell why the holes of a surface cannot be closed in good faith; None where they can.

    Parameters
    ----------
    surface
        Wound outward.
    loops
        Its boundary loops.
    largest_hole
        Widest hole that may be closed, as a share of the diagonal of the surface's box.

    Notes
    -----
    A sculpt cut off flat has a rim in one plane and lies on one side of it; half a ball, say, has a hole of
    half its own area. A piece of terrain has a rim that goes up and down with it, on both sides of any plane.
    """
    if not loops:
        return None
    largest = max(loops, key=lambda loop: loop.area)
    count, extent = len(surface.triangles), surface.diagonal
    height = (surface.corners.mean(axis=1) - largest.middle) @ -largest.normal
    if count == 1 or np.abs(height).max() <= 1e-6 * extent:
        return Defect("flat", count)
    open_ = sum(
        group[0].area - sum(each.area for each in group[1:]) for group in nested(surface.vertices, loops)
    )
    if _is_sheet(surface.areas, height / extent, open_, largest.lift / extent):
        return Defect("open sheet", count, open_edges=len(largest.corners))
    widest = max(loop.span for loop in loops) / extent
    return (
        Defect("wide hole", count, hole=widest, largest_hole=largest_hole) if widest > largest_hole else None
    )


def is_flat(volume: float, area: float, extent: float) -> bool:
    """Tell a closed surface that encloses nothing from a needle."""
    return abs(volume) <= _FLAT * area * extent


def _is_sheet(areas: Floats, height: Floats, open_: float, lift: float) -> bool:
    fraction = open_ / float(areas.sum())
    if fraction <= SHEET:
        return False
    behind = float(areas[height < -0.02].sum() / areas.sum())
    return fraction > NEARLY_ALL or behind > 0.03 or lift > 0.4 * float(np.quantile(height, 0.95))
