"""Thickness round a hole: how near the outside, or another hole, comes to it, on level sections."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import BACK, COLLAR, SPACING, HoleSite, Least, to_segment
from holdwright.geometry.measure.sections import level_edges, stepped_near
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid

APART = 2.0
"""Distance between the level sections that thickness is measured on, mm."""
MOST_LEVELS = 500
"""Sections at most below the seat, and as many above: in a very long hole they are farther apart."""
SECTORS = 24
"""Parts of the turn whose pocket edges are taken separately."""
_ON_HOLE = 0.05
"""Within this a point of a section lies on another hole's surface, mm."""
_LEVEL = 1.0
"""Distance between the levels that two bores are compared on, mm."""


@dataclass(frozen=True, eq=False)
class _Outlines:
    """Points along the outlines of sections square to a hole's axis, near it."""

    points: Floats
    level: Indices
    """(n, 2) in the hole's frame, mm, and (n,) which section each is on."""
    places: Floats
    """(n, 3) in the hold's frame."""
    thickness: Floats
    """(n,) distance from the hole's own outline there; negative within it."""

    @classmethod
    def of(cls, solid: Solid, hole: Hole, height: Floats, radius: Floats, reach: "_Reach") -> "_Outlines":
        """Cut a solid at heights (k,) along the axis, where the hole has these radii (k,), mm."""
        start, end, level = _sections(solid, hole, height)
        points, edge = stepped_near(start, end, reach(start, end, level), SPACING)
        level = level[edge]
        places = move_points(hole.from_axis, np.column_stack([points, height[level]]))
        return cls(points, level, places, hole.away(*points.T) - radius[level])

    def least(self, chosen: Mask, otherwise: Floats) -> Least:
        """Give the least thickness among chosen points; infinite, at another place, where there is none."""
        thickness = np.where(chosen, self.thickness, np.inf)
        if not np.isfinite(thickness).any():
            return Least(np.inf, otherwise)
        nearest = int(np.argmin(thickness))
        return Least(float(thickness[nearest]), self.places[nearest])


_Reach = Callable[[Floats, Floats, Indices], Floats | float]
"""Gives how far from the axis, mm, points count, from the edges' starts and ends (n, 2) and their levels."""


def bore_thickness(solid: Solid, site: HoleSite, hole: Hole, deep: float) -> tuple[Least, Least]:
    """Measure round clearance hole and pocket; see `hole_figures.BoreFigures`."""
    edges, underside = _pocket_edges(site, hole), _underside(site, hole)
    low, high = hole.seat - BACK, hole.seat + BACK
    down = np.append(np.arange(low, underside, -_apart(low - underside)), min(underside, low))
    top = max(float(edges.max()) - deep, high + BACK)
    height = np.concatenate([down[::-1], np.arange(high, top, _apart(top - high))])
    number = np.arange(len(height))
    at_pocket = number >= len(down)
    radius = np.where(at_pocket, hole.pocket_radius, hole.hole_radius)
    # At the seat itself all counts; above it only what stands beside a deep pocket.
    least_edge = np.where(number > len(down), height + deep, -np.inf)

    def counts(points: Floats, level: Indices, thickness: Floats) -> Mask:
        # What lies within the circle is bored away; where an outline crosses it, points just outside count.
        return np.asarray((thickness >= 0.0) & (edges[_sector(*points.T)] >= least_edge[level]))

    def reach(start: Floats, _end: Floats, level: Indices) -> Floats:
        thickness = hole.away(*start.T) - radius[level]
        thickness[~counts(start, level, thickness)] = np.inf
        least = np.full(len(height), np.inf)
        np.minimum.at(least, level, thickness)
        nearest = [least[which].min(initial=np.inf) for which in (~at_pocket, at_pocket)]
        return np.asarray((radius + hole.slot / 2 + np.where(at_pocket, nearest[1], nearest[0]))[level])

    outlines = _Outlines.of(solid, hole, height, radius, reach)
    beside = counts(outlines.points, outlines.level, outlines.thickness)
    pocket, seat = at_pocket[outlines.level], hole.on_axis(hole.seat)
    return outlines.least(beside & ~pocket, seat), outlines.least(beside & pocket, seat)


def screw_thickness(
    solid: Solid, hole: Hole, lowest: float, top: float, others: Sequence[Hole], required: float
) -> tuple[Least, tuple[Least, ...]]:
    """Measure round a screw hole, square to its axis, mm; negative where it breaks through.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0.
    hole
        Seated.
    lowest
        Lowest surface over the head, as a height along the axis, mm.
    top
        Where its cutter ends, as a height along the axis, mm.
    others
        Holes already in the hold.
    required
        What is farther away than this in excess of the least need not be exact, mm.

    Returns
    -------
    outside
        To the outside of the hold, from the back up to where the head's pocket is no deeper than the required
        thickness: nearer to the edge that of any pocket in a slope runs out to nothing.
    holes
        To each of the others, this hole's pocket included; infinite where no level goes through both.
    """
    heights = _screw_heights(hole, top)
    radius = np.where(heights <= hole.seat, hole.hole_radius, hole.pocket_radius)

    def reach(start: Floats, end: Floats, _level: Indices) -> float:
        # No point of an edge is nearer to the axis than its start less its length.
        least = (np.hypot(*start.T) - np.hypot(*(end - start).T)).min(initial=np.inf)
        around = hole.pocket_radius + required + 2.0 * SPACING
        return max(around, float(least) + around)

    outlines = _Outlines.of(solid, hole, heights, radius, reach)
    height = heights[outlines.level]
    free = (outlines.places[:, 2] > 2.0 * BACK) & ((height <= hole.seat) | (height < lowest - required))
    at, to_holes = hole.on_axis(max(hole.seat / 2.0, 0.0)), []
    for other in others:
        on_it = other.on_surface(outlines.places, _ON_HOLE)
        free &= ~on_it
        to_holes.append(outlines.least(on_it, at))
    return outlines.least(free, at), tuple(to_holes)


def between(one: Hole, other: Hole, top: float) -> Least:
    """Measure the least thickness between two bores on levels from the finished back up to `top`, mm.

    Level sections of a tilted bore are taken for as wide as it is across: at 15 degrees they are 3.5 % longer
    in one direction. Its countersink counts as pocket.

    Returns
    -------
    Least
        Negative where they meet; the place lies in the middle between them.
    """
    levels = np.append(np.arange(0.0, top, _LEVEL), top)
    wide = sum(
        np.where(levels < hole.seat * hole.axis[2], hole.hole_radius, hole.pocket_radius)
        for hole in (one, other)
    )
    centres = [
        np.array([hole.x, hole.y]) + levels[:, None] * (np.array(hole.axis[:2]) / hole.axis[2])
        for hole in (one, other)
    ]
    apart = _segments_apart(centres[1] - centres[0], one.half_slot[:2], other.half_slot[:2]) - wide
    least = int(np.argmin(apart))
    middle = (centres[0][least] + centres[1][least]) / 2
    return Least(float(apart[least]), np.array([*middle, levels[least]]))


def _apart(length: float) -> float:
    """Give the distance between the sections along a stretch of an axis, both mm."""
    return max(APART, length / MOST_LEVELS)


def _sections(solid: Solid, hole: Hole, heights: Floats) -> tuple[Floats, Floats, Indices]:
    """Give the edges of the sections square to a hole's axis, in its frame: starts, ends (n, 2) and level.

    Sections square to a tilted axis end in the back, which is not outside.
    """
    if hole.upright:
        start, end, level = level_edges(solid.mesh, heights)
        return start - [hole.x, hole.y], end - [hole.x, hole.y], level
    start, end, level = level_edges(solid.mesh.moved(hole.frame), heights)
    way = hole.from_axis[2]
    above = [each @ way[:2] + heights[level] * way[2] + way[3] > 2 * BACK for each in (start, end)]
    outside = above[0] | above[1]
    return start[outside], end[outside], level[outside]


def _underside(site: HoleSite, hole: Hole) -> float:
    """Height the clearance hole begins at: the back, or the top of a hollow round the hole."""
    low, _ = site.stretch(hole.seat - 1e-6)
    beside = (site.radius >= hole.hole_radius) & (site.radius <= hole.hole_radius + COLLAR) & ~np.isnan(low)
    return float(low[beside].max()) + 2 * BACK if beside.any() else 2 * BACK


def _pocket_edges(site: HoleSite, hole: Hole) -> Floats:
    """Height of the pocket's edge in each sector: the lowest top of the material the seat is in."""
    _, high = site.stretch(hole.seat + 1e-6)
    collar = (site.radius >= hole.pocket_radius) & (site.radius <= hole.pocket_radius + COLLAR)
    x, y = site.columns.grid.places
    edges = np.full(SECTORS, np.inf)
    tops = np.where(np.isnan(high[collar]), hole.seat, high[collar])
    np.minimum.at(edges, _sector(x[collar], y[collar]), tops)
    return np.where(np.isfinite(edges), edges, hole.seat)


def _sector(x: Floats, y: Floats) -> Indices:
    turn = np.arctan2(y, x) / (2 * np.pi)
    return np.floor(turn * SECTORS).astype(np.int64) % SECTORS


def _screw_heights(hole: Hole, top: float) -> Floats:
    """Give the heights of the sections: the seat, down from there to the back, and up to the cutter's end."""
    top = max(top, hole.mouth + BACK)
    down = np.arange(hole.seat, 2.0 * BACK, -_apart(hole.seat))[::-1]
    up = np.arange(hole.mouth, top, _apart(top - hole.mouth))
    return np.unique(np.concatenate([[2.0 * BACK], down, up]))


def _segments_apart(gap: Floats, half: Floats, other: Floats) -> Floats:
    """Distance (n,) of two segments with their middles `gap` (n, 2) apart and half lengths (2,) each."""
    ends = [to_segment(gap + side * other, half) for side in (-1.0, 1.0)]
    ends += [to_segment(-gap + side * half, other) for side in (-1.0, 1.0)]
    turn = half[0] * other[1] - half[1] * other[0]
    if abs(turn) < 1e-12:
        return np.asarray(np.min(ends, axis=0))
    # Where both shares are within their segments, they cross.
    first = (gap[:, 0] * other[1] - gap[:, 1] * other[0]) / turn
    second = (gap[:, 0] * half[1] - gap[:, 1] * half[0]) / turn
    crossed = (np.abs(first) <= 1.0) & (np.abs(second) <= 1.0)
    return np.asarray(np.where(crossed, 0.0, np.min(ends, axis=0)))
