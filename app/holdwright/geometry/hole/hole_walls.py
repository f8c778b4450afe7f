"""Walls round a hole: how near the outside, or another hole, comes to it, on level sections of the hold."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import COLLAR, HoleSite, Least
from holdwright.geometry.measure.sections import level_edges, stepped_near
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid

APART = 2.0
"""Distance between the level sections that walls are measured on, mm."""
SPACING = 0.5
"""Distance between points along their outlines near the axis, mm; makes walls at most 0.01 mm too large."""
MOST_LEVELS = 500
"""Sections at most below the seat, and as many above: in a very long hole they are farther apart."""
SECTORS = 24
"""Parts of the turn whose pocket edges are looked at separately."""
BACK = 0.02
"""Height of the section that stands for the back's outline: just above it, mm."""
_ON_HOLE = 0.05
"""Within this a point of a section lies on another hole's wall, mm."""
_LEVEL = 1.0
"""Distance between the levels that two bores are compared on, mm."""


@dataclass(frozen=True, eq=False)
class _Levels:
    """Level sections that a bore goes through.

    Attributes
    ----------
    height, radius
        (k,) along the axis, ascending, and of the bore there, mm.
    at_pocket
        (k,) whether it is the pocket.
    least_edge
        (k,) height that the pocket's edge must have for what is outside to count as its wall, mm.
    edges
        (SECTORS,) height of the pocket's edge.
    hole
        The bore.
    """

    height: Floats
    radius: Floats
    at_pocket: Mask
    least_edge: Floats
    edges: Floats
    hole: Hole

    @classmethod
    def of(cls, site: HoleSite, hole: Hole, deep: float) -> "_Levels":
        edges = _pocket_edges(site, hole)
        underside = _underside(site, hole)
        low, high = hole.seat - BACK, hole.seat + BACK
        down = np.append(np.arange(low, underside, -_apart(low - underside)), min(underside, low))
        top = max(float(edges.max()) - deep, high + BACK)
        up = np.arange(high, top, _apart(top - high))
        height = np.concatenate([down[::-1], up])
        number = np.arange(len(height))
        at_pocket = number >= len(down)
        radius = np.where(at_pocket, hole.pocket_radius, hole.hole_radius)
        # At the seat itself all counts; above it only what stands beside a deep pocket.
        least_edge = np.where(number > len(down), height + deep, -np.inf)
        return cls(height, radius, at_pocket, least_edge, edges, hole)

    def walls(self, points: Floats, level: Indices) -> Floats:
        """Distance of points (n, 2) from the bore's outline; infinite where they are no wall."""
        wall = self.hole.away(points[:, 0], points[:, 1]) - self.radius[level]
        # What lies within the circle is bored away; where an outline crosses it, points just outside tell.
        wall[wall < 0] = np.inf
        above = np.flatnonzero(self.least_edge[level] > -np.inf)
        sector = _sector(points[above, 0], points[above, 1])
        wall[above[self.edges[sector] < self.least_edge[level[above]]]] = np.inf
        return wall

    def reach(self, start: Floats, level: Indices) -> Floats:
        """Tell how far from the axis the least wall may be, for each edge of those from (n, 2)."""
        least = np.full(len(self.height), np.inf)
        np.minimum.at(least, level, self.walls(start, level))
        hole, pocket = (least[which].min(initial=np.inf) for which in (~self.at_pocket, self.at_pocket))
        reach = self.radius + self.hole.slot / 2 + np.where(self.at_pocket, pocket, hole)
        return np.asarray(reach[level])


def bore_walls(solid: Solid, site: HoleSite, hole: Hole, deep: float) -> tuple[Least, Least]:
    """Measure the walls at the clearance hole and at the pocket; see `hole_check.BoreFigures`."""
    levels = _Levels.of(site, hole, deep)
    start, end, level = _sections(solid, hole, levels.height)
    points, edge = stepped_near(start, end, levels.reach(start, level), SPACING)
    level = level[edge]
    wall = levels.walls(points, level)
    places = move_points(hole.from_axis, np.column_stack([points, levels.height[level]]))
    at_pocket, seat = levels.at_pocket[level], hole.on_axis(hole.seat)
    return _least(wall, places, ~at_pocket, seat), _least(wall, places, at_pocket, seat)


def screw_walls(
    solid: Solid, hole: Hole, lowest: float, top: float, others: Sequence[Hole], required: float
) -> tuple[Least, tuple[Least, ...]]:
    """Measure the least walls of a screw hole, square to its axis, mm; negative where it breaks through.

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
        What is farther away than this in excess of the least met need not be exact, mm.

    Returns
    -------
    outside
        To the outside of the hold, from the back up to where the head's pocket is no deeper than the required
        wall: nearer to the edge the wall of any pocket in a slope runs out to nothing.
    holes
        To each of the others, this hole's pocket included; infinite where no level meets both.
    """
    heights = _heights(hole, top)
    start, end, level = _sections(solid, hole, heights)
    # No point of an edge is nearer to the axis than its start less its length.
    least = (np.hypot(start[:, 0], start[:, 1]) - np.hypot(*(end - start).T)).min(initial=np.inf)
    reach = hole.pocket_radius + required + 2.0 * SPACING
    points, edge = stepped_near(start, end, max(reach, float(least) + reach), SPACING)
    height = heights[level[edge]]
    places = move_points(hole.from_axis, np.column_stack([points, height]))
    shank = height <= hole.seat
    wall = hole.away(*points.T) - np.where(shank, hole.hole_radius, hole.pocket_radius)
    free = (places[:, 2] > 2.0 * BACK) & (shank | (height < lowest - required))
    at, holes = hole.on_axis(max(hole.seat / 2.0, 0.0)), []
    for other in others:
        on_it = other.on_wall(places, _ON_HOLE)
        free &= ~on_it
        holes.append(_least(wall, places, on_it, at))
    return _least(wall, places, free, at), tuple(holes)


def between(one: Hole, other: Hole, top: float) -> Least:
    """Measure the least wall between two bores on levels from the finished back up to `top`, mm.

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
    wall = _segments_apart(centres[1] - centres[0], one.half_slot[:2], other.half_slot[:2]) - wide
    least = int(np.argmin(wall))
    middle = (centres[0][least] + centres[1][least]) / 2
    return Least(float(wall[least]), np.array([*middle, levels[least]]))


def _apart(length: float) -> float:
    """Give the distance between the sections along a stretch of an axis, both mm."""
    return max(APART, length / MOST_LEVELS)


def _sections(solid: Solid, hole: Hole, heights: Floats) -> tuple[Floats, Floats, Indices]:
    """Give the edges of the sections square to a hole's axis, in its frame: starts, ends (n, 2) and level.

    Sections square to a tilted axis end in the back, which is no wall.
    """
    if hole.upright:
        start, end, level = level_edges(solid.mesh, heights)
        return start - [hole.x, hole.y], end - [hole.x, hole.y], level
    start, end, level = level_edges(solid.mesh.moved(hole.frame), heights)
    way = hole.from_axis[2]
    above = [each @ way[:2] + heights[level] * way[2] + way[3] > 2 * BACK for each in (start, end)]
    walled = above[0] | above[1]
    return start[walled], end[walled], level[walled]


def _least(wall: Floats, places: Floats, chosen: Mask, otherwise: Floats) -> Least:
    wall = np.where(chosen, wall, np.inf)
    if not np.isfinite(wall).any():
        return Least(np.inf, otherwise)
    nearest = int(np.argmin(wall))
    return Least(float(wall[nearest]), places[nearest])


def _underside(site: HoleSite, hole: Hole) -> float:
    """Height the clearance hole's wall begins at: the back, or the top of a hollow round the hole."""
    low, _ = site.stretch(hole.seat - 1e-6)
    wall = (site.radius >= hole.hole_radius) & (site.radius <= hole.hole_radius + COLLAR) & ~np.isnan(low)
    return float(low[wall].max()) + 2 * BACK if wall.any() else 2 * BACK


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


def _heights(hole: Hole, top: float) -> Floats:
    """Give the heights of the sections: the seat, down from there to the back, and up to the cutter's end."""
    top = max(top, hole.mouth + BACK)
    down = np.arange(hole.seat, 2.0 * BACK, -_apart(hole.seat))[::-1]
    up = np.arange(hole.mouth, top, _apart(top - hole.mouth))
    return np.unique(np.concatenate([[2.0 * BACK], down, up]))


def _segments_apart(gap: Floats, half: Floats, other: Floats) -> Floats:
    """Distance (n,) of two segments with their middles `gap` (n, 2) apart and half lengths (2,) each."""
    ends = [_to_segment(gap + side * other, half) for side in (-1.0, 1.0)]
    ends += [_to_segment(-gap + side * half, other) for side in (-1.0, 1.0)]
    turn = half[0] * other[1] - half[1] * other[0]
    if abs(turn) < 1e-12:
        return np.asarray(np.min(ends, axis=0))
    # Where both shares are within their segments, they cross.
    first = (gap[:, 0] * other[1] - gap[:, 1] * other[0]) / turn
    second = (gap[:, 0] * half[1] - gap[:, 1] * half[0]) / turn
    crossed = (np.abs(first) <= 1.0) & (np.abs(second) <= 1.0)
    return np.asarray(np.where(crossed, 0.0, np.min(ends, axis=0)))


def _to_segment(places: Floats, half: Floats) -> Floats:
    square = float(half @ half)
    share = np.clip(places @ half / square, -1.0, 1.0) if square > 0.0 else np.zeros(len(places))
    return np.asarray(np.linalg.norm(places - share[:, None] * half, axis=1))
