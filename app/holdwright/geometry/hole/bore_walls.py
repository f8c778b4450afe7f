"""Walls round a bore: how near the outside comes to its clearance hole and its pocket, level by level."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_site import COLLAR, BoreSite
from holdwright.geometry.measure.sections import level_edges, stepped_near
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid

APART = 2.0
"""Distance between the level sections that walls are measured on, mm."""
SPACING = 0.5
"""Distance between points along their outlines near the axis, mm; makes walls at most 0.01 mm too large."""
MOST_LEVELS = 500
"""Sections at most below the seat, and as many above: in a very long bore they are farther apart."""
SECTORS = 24
"""Parts of the turn whose pocket edges are looked at separately."""
BACK = 0.02
"""Height of the section that stands for the back's outline: just above it, mm."""


@dataclass(frozen=True, eq=False)
class Least:
    """A least figure, mm, and the place (3,) on the hold where it is met."""

    value: float
    place: Floats


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
    shape
        The bore.
    """

    height: Floats
    radius: Floats
    at_pocket: Mask
    least_edge: Floats
    edges: Floats
    shape: BoreShape

    @classmethod
    def of(cls, site: BoreSite, shape: BoreShape, deep: float) -> "_Levels":
        edges = _pocket_edges(site, shape)
        underside = _underside(site, shape)
        low, high = shape.seat - BACK, shape.seat + BACK
        down = np.append(np.arange(low, underside, -apart(low - underside)), min(underside, low))
        top = max(float(edges.max()) - deep, high + BACK)
        up = np.arange(high, top, apart(top - high))
        height = np.concatenate([down[::-1], up])
        number = np.arange(len(height))
        at_pocket = number >= len(down)
        radius = np.where(at_pocket, shape.pocket_diameter, shape.clearance_diameter) / 2
        # At the seat itself all counts; above it only what stands beside a deep pocket.
        least_edge = np.where(number > len(down), height + deep, -np.inf)
        return cls(height, radius, at_pocket, least_edge, edges, shape)

    def walls(self, points: Floats, level: Indices) -> Floats:
        """Distance of points (n, 2) from the bore's outline; infinite where they are no wall."""
        wall = self.shape.away(points[:, 0], points[:, 1]) - self.radius[level]
        # What lies within the circle is bored away; where an outline crosses it, points just outside tell.
        wall[wall < 0] = np.inf
        asks = np.flatnonzero(self.least_edge[level] > -np.inf)
        sector = _sector(points[asks, 0], points[asks, 1])
        wall[asks[self.edges[sector] < self.least_edge[level[asks]]]] = np.inf
        return wall

    def reach(self, start: Floats, level: Indices) -> Floats:
        """Tell how far from the axis the least wall may be, for each edge of those from (n, 2)."""
        least = np.full(len(self.height), np.inf)
        np.minimum.at(least, level, self.walls(start, level))
        hole, pocket = (least[which].min(initial=np.inf) for which in (~self.at_pocket, self.at_pocket))
        reach = self.radius + self.shape.slot / 2 + np.where(self.at_pocket, pocket, hole)
        return np.asarray(reach[level])


def apart(length: float) -> float:
    """Give the distance between the sections along a stretch of an axis, both mm."""
    return max(APART, length / MOST_LEVELS)


def walls(solid: Solid, site: BoreSite, shape: BoreShape, deep: float) -> tuple[Least, Least]:
    """Measure the walls at the clearance hole and at the pocket; see `bore_check.BoreFigures`."""
    levels = _Levels.of(site, shape, deep)
    vertices = solid.vertices if shape.upright else move_points(shape.frame, solid.vertices)
    start, end, level = level_edges(vertices, solid.triangles, levels.height)
    if shape.upright:
        start, end = start - [shape.x, shape.y], end - [shape.x, shape.y]
    else:
        # Sections square to a tilted axis end in the back, which is no wall.
        above = _above_back(site, start, levels.height[level]) | _above_back(site, end, levels.height[level])
        start, end, level = start[above], end[above], level[above]
    points, edge = stepped_near(start, end, levels.reach(start, level), SPACING)
    level = level[edge]
    wall = levels.walls(points, level)
    places = np.column_stack([points, levels.height[level]])
    at_pocket = levels.at_pocket[level]
    seat = np.array([0.0, 0.0, shape.seat])
    hole, pocket = (
        _least(wall[which], move_points(site.from_bore, places[which]), move_points(site.from_bore, seat))
        for which in (~at_pocket, at_pocket)
    )
    return hole, pocket


def _above_back(site: BoreSite, places: Floats, height: Floats) -> Mask:
    """Which places (n, 2), at heights along the axis, lie above the finished back in the hold's frame."""
    place = site.from_bore
    return np.asarray(places @ place[2, :2] + height * place[2, 2] + place[2, 3] > 2 * BACK)


def _least(wall: Floats, places: Floats, otherwise: Floats) -> Least:
    if not np.isfinite(wall).any():
        return Least(np.inf, otherwise)
    nearest = int(np.argmin(wall))
    return Least(float(wall[nearest]), places[nearest])


def _underside(site: BoreSite, shape: BoreShape) -> float:
    """Height the clearance hole's wall begins at: the back, or the top of a hollow round the hole."""
    low, _ = site.stretch(shape.seat - 1e-6)
    hole = shape.clearance_diameter / 2
    wall = (site.radius >= hole) & (site.radius <= hole + COLLAR) & ~np.isnan(low)
    return float(low[wall].max()) + 2 * BACK if wall.any() else 2 * BACK


def _pocket_edges(site: BoreSite, shape: BoreShape) -> Floats:
    """Height of the pocket's edge in each sector: the lowest top of the material the seat is in."""
    _, high = site.stretch(shape.seat + 1e-6)
    collar = (site.radius >= shape.pocket_diameter / 2) & (site.radius <= shape.pocket_diameter / 2 + COLLAR)
    x, y = site.columns.grid.places
    edges = np.full(SECTORS, np.inf)
    tops = np.where(np.isnan(high[collar]), shape.seat, high[collar])
    np.minimum.at(edges, _sector(x[collar], y[collar]), tops)
    return np.where(np.isfinite(edges), edges, shape.seat)


def _sector(x: Floats, y: Floats) -> Indices:
    turn = np.arctan2(y, x) / (2 * np.pi)
    return np.floor(turn * SECTORS).astype(np.int64) % SECTORS
