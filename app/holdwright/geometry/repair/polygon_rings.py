"""Closing lines within triangles to the polygons on their left, and cutting those into triangles."""

import itertools
from dataclasses import dataclass

import numpy as np
from manifold3d import triangulate

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import linked_sets
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.triangle_crossings import TangledError


@dataclass(frozen=True, eq=False)
class TriangleLines:
    """Straight pieces within triangles, (k,) each.

    `other` is the triangle that is crossed there, -1 on a side; `along` (k, 3) the direction of the line.
    """

    triangle: Indices
    start: Indices
    end: Indices
    other: Indices
    along: Floats


class FlatView:
    """Looks at triangles along the axis that they face most, scaled so that they fill a square."""

    def __init__(self, surface: Mesh) -> None:
        normals, corners = surface.crosses, surface.corners
        axis = np.abs(normals).argmax(axis=1)
        back = np.take_along_axis(normals, axis[:, None], axis=1)[:, 0] < 0
        self._axes = np.stack([(axis + 1 + back) % 3, (axis + 2 - back) % 3], axis=1)
        self._low = corners.min(axis=1)
        self._scale = 1.0 / np.maximum(np.ptp(corners, axis=1).max(axis=1), 1e-300)

    def vectors(self, triangle: Indices, vectors: Floats) -> Floats:
        """(k, 2) directions seen on each one's triangle."""
        seen = np.take_along_axis(vectors, self._axes[triangle], axis=1)
        return np.asarray(seen * self._scale[triangle, None])

    def unit(self, triangle: Indices) -> Floats:
        """(k,) half the square of what is 1 long on each one's picture: areas seen come out in proportion."""
        return np.asarray(0.5 / np.square(self._scale[triangle]))

    def points(self, triangle: Indices, points: Floats) -> Floats:
        """(k, 2) places seen on each one's triangle, from 0 to 1."""
        return self.vectors(triangle, points - self._low[triangle])


def turn_of(first: Floats, second: Floats) -> Floats:
    """Give twice the area between (k, 2) vectors, positive where the second lies to the left."""
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])


class PolygonRings:
    """The polygons that pieces make on their left.

    Attributes
    ----------
    left
        (k,) polygon left of each piece, -1 outside of a triangle.
    owner, areas
        (p,) triangle and area of each polygon.
    """

    def __init__(self, halves: TriangleLines, flat: FlatView, points: Floats) -> None:
        self._start = halves.start
        self._following, self._loop = _loops(halves, flat)
        start, end = (flat.points(halves.triangle, points[each]) for each in (halves.start, halves.end))
        self._seen = start
        areas = np.bincount(self._loop, weights=turn_of(start, end)).astype(np.float64)
        polygon, solid = _polygons(halves, self._loop, start, end, areas)
        self.left = polygon[self._loop]
        triangle = np.empty(len(areas), dtype=np.int64)
        triangle[self._loop] = halves.triangle
        self.owner = triangle[solid]
        self.areas = areas[solid] * flat.unit(self.owner)
        self._firsts, self._of = np.unique(self._loop, return_index=True)[1], polygon

    def triangulated(self, chosen: Mask) -> tuple[Indices, Indices]:
        """Cut the polygons chosen (p,) into triangles: (m, 3), and the polygon of each."""
        after = self._following.tolist()
        around: list[int] = []
        ends = [0]
        for first in self._firsts[(self._of >= 0) & np.append(chosen, False)[self._of]].tolist():
            around.append(first)
            while (piece := after[around[-1]]) != first:
                around.append(piece)
            ends.append(len(around))
        if not around:
            return np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64)
        piece_of = np.array(around)
        of = self.left[piece_of]
        # All in one go, each in a place of its own.
        columns = int(np.sqrt(len(self.owner))) + 1
        seen = self._seen[piece_of] + 1.5 * np.stack([of % columns, of // columns], axis=1)
        rings = [seen[start:end] for start, end in itertools.pairwise(ends)]
        parts = piece_of[np.asarray(triangulate(rings, 1e-13))]
        return self._start[parts], self.left[parts[:, 0]]


def _loops(halves: TriangleLines, flat: FlatView) -> tuple[Indices, Indices]:
    """Give the piece that follows each round the polygon on its left, and the loop that it is in."""
    number = len(halves.triangle)
    angle = np.arctan2(*flat.vectors(halves.triangle, halves.along).T[::-1])
    order = np.lexsort((angle, halves.start, halves.triangle))
    triangle, start = halves.triangle[order], halves.start[order]
    new = np.concatenate(([True], (triangle[1:] != triangle[:-1]) | (start[1:] != start[:-1])))
    first = np.flatnonzero(new)
    last = np.append(first[1:], number) - 1
    # Where a piece ends, the next one is the first clockwise from its own way back.
    before = np.arange(number) - 1
    before[first] = last
    place = np.empty(number, dtype=np.int64)
    place[order] = np.arange(number)
    following = order[before[np.roll(place, number // 2)]]
    return following, linked_sets(np.arange(number), following, number)[1]


def _polygons(
    halves: TriangleLines, loop: Indices, start: Floats, end: Floats, areas: Floats
) -> tuple[Indices, Mask]:
    """Give the polygon of each loop, -1 round the outside of a triangle, and which loops are polygons."""
    number, count = len(halves.triangle), len(areas)
    outside = np.zeros(count, dtype=bool)
    outside[loop[(np.arange(number) >= number // 2) & (halves.other < 0)]] = True
    # Lines that reach no side of their triangle are islands, each with an outline that is a polygon's hole.
    joined = linked_sets(loop, np.roll(loop, number // 2), count)[1]
    outline = ~np.isin(joined, joined[outside]) & (areas < 0)
    solid = ~outside & ~outline
    polygon = np.where(solid, np.cumsum(solid) - 1, -1)
    for hole in np.flatnonzero(outline).tolist():
        corner = int(np.argmax(loop == hole))
        beside = np.unique(loop[halves.triangle == halves.triangle[corner]])
        others = beside[solid[beside] & (joined[beside] != joined[hole])].tolist()
        around = [each for each in others if _holds(start[loop == each], end[loop == each], start[corner])]
        if not around:
            raise TangledError
        polygon[hole] = polygon[min(around, key=lambda each: areas[each])]
    return polygon, solid


def _holds(start: Floats, end: Floats, point: Floats) -> bool:
    """Tell whether a point lies within a loop of sides (k, 2)."""
    passes = (start[:, 1] > point[1]) != (end[:, 1] > point[1])
    a, b = start[passes], end[passes]
    reached = a[:, 0] + (point[1] - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    return bool(np.count_nonzero(reached > point[0]) % 2)
