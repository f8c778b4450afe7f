"""The nearest triangles of a surface for many points, exactly, by boxes round them, level by level."""

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.deviation import NearestPoints, closest_on_triangles
from holdwright.geometry.measure.ray_tree import Columns, box_levels, children
from holdwright.geometry.mesh.mesh import Mesh, lengths

_AT_ONCE = 4_096
_ROUNDING = 1e-9
"""Share of the surface's extent by which bounds are loosened, since both are rounded."""


class NearestTriangles:
    """Finds the point of a surface nearest to each of many, whatever the shape of its triangles."""

    def __init__(self, surface: Mesh) -> None:
        corners = surface.corners
        self._order, self._levels = box_levels(corners)
        self._corners = corners[self._order]
        self._tree = cKDTree(corners.reshape(-1, 3))
        self._slack = _ROUNDING * surface.diagonal

    def nearest(self, points: Floats) -> NearestPoints:
        """Find the points of the surface nearest to (n, 3) points."""
        parts = [self._nearest(part) for part in np.array_split(points, len(points) // _AT_ONCE + 1)]
        return NearestPoints(*(np.concatenate(each) for each in zip(*(x.arrays for x in parts), strict=True)))

    def _nearest(self, points: Floats) -> NearestPoints:
        # No farther than the nearest corner.
        bound = np.square(np.asarray(self._tree.query(points)[0]) + self._slack)
        columns = [points[:, axis].copy() for axis in range(3)]
        asking = np.arange(len(points))
        nodes = np.zeros(len(points), dtype=np.int64)
        for depth, bounds in enumerate(self._levels):
            if depth:
                asking, nodes = children(asking, nodes, bounds)
            near = _gaps(columns, bounds, asking, nodes) <= bound[asking]
            asking, nodes = asking[near], nodes[near]
        there = closest_on_triangles(points[asking], self._corners[nodes])
        distance = lengths(there - points[asking])
        order = np.lexsort((distance, asking))
        first = order[np.concatenate(([True], np.diff(asking[order]) != 0))]
        return NearestPoints(there[first], distance[first], self._order[nodes[first]])


def _gaps(columns: list[Floats], bounds: Columns, asking: Indices, nodes: Indices) -> Floats:
    """Give the square of the distance from points to boxes, pair by pair."""
    total = np.zeros(len(asking))
    for column, (low, high) in zip(columns, bounds, strict=True):
        place = column[asking]
        gap = np.maximum(low[nodes] - place, place - high[nodes])
        np.maximum(gap, 0.0, out=gap)
        total += gap * gap
    return total
