"""Closing a sheet with one open rim, as of a relief sculpted without a back, by a wall and a flat back."""

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, FillRule

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boundary_loops import Loop, boundary_loops
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.ground_block import plane_basis
from holdwright.geometry.repair.hole_filling import FLAT, Filling, clipped, fillings
from holdwright.geometry.repair.repair_account import Defect, Limits

_STOCK = 0.02
"""Share of the extent by which the back lies behind the sheet: the trim has to find material all round."""

_HOLE = 0.25
"""Rims within, of up to this share of the outer one's area in all, are holes; above it, other rims."""

_STRAY = 0.1
"""Sheets smaller than this share of the sculpt are none that anybody means to finish."""


def with_back(surface: Mesh, facing: Floats, limits: Limits) -> tuple[Mesh, list[Filling]] | Defect:
    """Close an open sheet by a flat back behind all of it, square to the mean direction it faces.

    Parameters
    ----------
    surface
        Consistently wound, either way.
    facing
        (3,) sum of the faces' area vectors as they came: the back lies on the other side.
    limits
        Holes within the sheet are closed as `Limits.largest_hole` says.

    Returns
    -------
    tuple or Defect
        The sheet wound as it faces, and what closes it, see `fillings`; the wall and back first. Where its
        rim is flat and nothing lies behind it, the back is on the rim and there is no wall.
    """
    if surface.crosses.sum(axis=0) @ facing < 0:
        surface = surface.flipped()
    rim, *holes = sorted(boundary_loops(surface), key=lambda loop: -loop.area)
    count, extent = len(surface.triangles), surface.diagonal
    if float(surface.size.max()) < _STRAY * limits.extent:
        return Defect("open sheet", count, open_edges=len(rim.corners))
    if sum(hole.area for hole in holes) > _HOLE * rim.area:
        return Defect("several rims", count, rims=(rim.span, holes[0].span))
    widest = max((hole.span for hole in holes), default=0.0) / extent
    if widest > limits.largest_hole:
        return Defect("wide hole", count, hole=widest, largest_hole=limits.largest_hole)
    depth = surface.vertices @ rim.normal
    if rim.flatness <= FLAT and depth.max() <= depth[rim.corners].max() + 1e-9 * extent:
        return surface, fillings(surface, [rim, *holes])
    back = _back(surface, rim, depth, float(depth.max()) + _STOCK * extent)
    if back is None:
        return Defect("crossed rim", count, rims=(rim.span,))
    return surface, [back, *_closed_within(surface, back, holes)]


def _back(surface: Mesh, rim: Loop, depth: Floats, level: float) -> Filling | None:
    """Give the wall and the back at a depth along the rim's normal; None where the rim crosses itself."""
    outline = CrossSection([surface.vertices[rim.corners] @ plane_basis(rim.normal).T], FillRule.NonZero)
    cut = clipped(surface.vertices, [rim])
    # An outline that winds round twice can be triangulated as well, but covers less than its own area.
    if cut is None or abs(outline.area() - rim.area) > 1e-6 * rim.area:
        return None
    height = level - depth[rim.corners]
    number = np.zeros(len(surface.vertices), dtype=np.int64)
    number[rim.corners] = len(surface.vertices) + np.arange(len(rim.corners))
    here, there = rim.corners, np.roll(rim.corners, -1)
    wall = [np.stack([here, there, number[there]], 1), np.stack([here, number[there], number[here]], 1)]
    foot = surface.vertices[rim.corners] + height[:, None] * rim.normal
    triangles = np.concatenate([*wall, number[cut]])
    return Filling("back", foot, triangles, rim.area, rim.span, float(height.max()))


def _closed_within(surface: Mesh, back: Filling, holes: Sequence[Loop]) -> list[Filling]:
    vertices = np.concatenate([surface.vertices, back.vertices])
    return fillings(Mesh(vertices, np.concatenate([surface.triangles, back.triangles])), holes)
