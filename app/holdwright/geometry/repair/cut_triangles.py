"""Cutting triangles into polygons along the lines where they cross, and polygons into triangles."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from manifold3d import triangulate

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.mesh.connectivity import linked_sets, side_ends
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.triangle_crossings import Crossed, TangledError

_MOST_MEETINGS = 5_000_000
"""Pairs of lines on one triangle, over all triangles, beyond which a surface is too tangled."""


@dataclass(frozen=True, eq=False)
class Polygons:
    """What the lines part triangles into.

    Attributes
    ----------
    points
        (n, 3) the surface's vertices, and more.
    owner
        (p,) the triangle of the surface that each polygon is of.
    areas
        (p,) of each polygon.
    start, end, left
        (k,) each: ends of the pieces of triangles' sides, and the polygon left of each.
    beside, across, step
        (s,) each: polygons left and right of a line, and by how much the winding number left of it is
        greater. Each line comes both ways.
    """

    points: Floats
    owner: Indices
    areas: Floats
    start: Indices
    end: Indices
    left: Indices
    beside: Indices
    across: Indices
    step: Indices
    _rings: "_Rings"

    def triangulated(self, chosen: Mask) -> tuple[Indices, Indices]:
        """Cut the polygons chosen (p,) into triangles: (m, 3), and the polygon of each."""
        count = len(self._rings.areas)
        triangles, of = self._rings.triangulated(chosen[:count])
        whole = np.flatnonzero(chosen[count:])
        sides = self.start[-3 * (len(self.owner) - count) :].reshape(-1, 3)
        return np.concatenate([triangles, sides[whole]]), np.concatenate([of, count + whole])


@dataclass(frozen=True, eq=False)
class _Lines:
    """Straight pieces within triangles, (k,) each.

    `other` is the triangle that is crossed there, -1 on a side; `along` (k, 3) the direction of the line.
    """

    triangle: Indices
    start: Indices
    end: Indices
    other: Indices
    along: Floats


def polygons_of(surface: Mesh, met: Crossed) -> Polygons:
    """Give the polygons into which triangles that are crossed are cut.

    Raises
    ------
    TangledError
        When rounding leaves lines that do not meet as they must.
    """
    flat = _Flat(surface)
    points, lines = _lines(met, flat)
    sides = _sides(surface, met)
    crossed = np.isin(sides.triangle, met.pairs)
    halves = _both_ways(_joined([_chosen(sides, crossed), lines]))
    rings = _Rings(halves, flat, points)
    whole = sides.triangle[~crossed]
    inner = np.flatnonzero(halves.other >= 0)
    turn = np.cross(surface.crosses[halves.other[inner]], surface.crosses[halves.triangle[inner]])
    inward = np.einsum("ij,ij->i", turn, halves.along[inner]) < 0
    side = (halves.other < 0) & (rings.left >= 0)
    # The others are in three sides each, one after another.
    return Polygons(
        points,
        np.concatenate([rings.owner, whole[::3]]),
        np.concatenate([rings.areas, surface.areas[whole[::3]]]),
        np.concatenate([halves.start[side], sides.start[~crossed]]),
        np.concatenate([halves.end[side], sides.end[~crossed]]),
        np.concatenate([rings.left[side], len(rings.owner) + np.arange(len(whole)) // 3]),
        rings.left[inner],
        np.roll(rings.left, len(rings.left) // 2)[inner],
        np.where(inward, 1, -1),
        rings,
    )


class _Flat:
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


def _split(
    start: Indices, end: Indices, on: Indices, share: Floats, point: Indices
) -> tuple[Indices, Indices, Indices]:
    """Cut lines (k,) from `start` to `end` at points (p,): the line each is on, how far along, its number.

    Gives line, start and end of each piece, line by line in order.
    """
    inner = np.append(point[np.lexsort((share, on))], -1)
    count = np.bincount(on, minlength=len(start))
    line, place = unrolled(count + 1)
    reached = (np.cumsum(count) - count)[line] + place
    return (
        line,
        np.where(place == 0, start[line], inner[reached - 1]),
        np.where(place == count[line], end[line], inner[reached]),
    )


def _sides(surface: Mesh, met: Crossed) -> _Lines:
    """Give the sides of all triangles in pieces, each triangle's own way round."""
    count = len(surface.vertices)
    start, end = side_ends(surface.triangles)
    keys, edge = np.unique(np.minimum(start, end) * count + np.maximum(start, end), return_inverse=True)
    on = np.searchsorted(keys, met.edges[:, 0] * count + met.edges[:, 1])
    line, low, high = _split(keys // count, keys % count, on, met.share, count + np.arange(len(on)))
    pieces = np.bincount(line, minlength=len(keys))
    side, piece = unrolled(pieces[edge], (np.cumsum(pieces) - pieces)[edge])
    forward = (start < end)[side]
    low, high = low[piece], high[piece]
    return _Lines(
        side // 3,
        np.where(forward, low, high),
        np.where(forward, high, low),
        np.full(len(side), -1),
        (surface.vertices[end] - surface.vertices[start])[side],
    )


def _lines(met: Crossed, flat: _Flat) -> tuple[Floats, _Lines]:
    """Give the lines along which triangles cross, cut where they meet; twice, once for each of the two."""
    number = len(met.pairs)
    triangle, other = np.concatenate([met.pairs, met.pairs[:, ::-1]]).T
    ends = np.concatenate([met.ends, met.ends])
    first, second, share = _meetings(triangle, ends, met.points, flat)
    three = np.sort(np.stack([triangle[first], other[first], other[second]], axis=1), axis=1)
    _, one, name, times = np.unique(three, axis=0, return_index=True, return_inverse=True, return_counts=True)
    if (times != 3).any():  # three planes meet in a point, which lies on all three triangles or on none
        raise TangledError
    a, b = met.points[ends[first[one], 0]], met.points[ends[first[one], 1]]
    points = np.concatenate([met.points, a + share[0][one, None] * (b - a)])
    name = len(met.points) + name.reshape(-1)
    on = np.concatenate([first, second]) % number
    # A point is found on a line twice, from each of its two triangles.
    _, once = np.unique(on * len(points) + np.concatenate([name, name]), return_index=True)
    share_on = np.concatenate(share)[once]
    point = np.concatenate([name, name])[once]
    line, start, end = _split(met.ends[:, 0], met.ends[:, 1], on[once], share_on, point)
    along = (met.points[met.ends[:, 1]] - met.points[met.ends[:, 0]])[line]
    pair = met.pairs[line]
    return points, _Lines(
        np.concatenate([pair[:, 0], pair[:, 1]]),
        np.concatenate([start, start]),
        np.concatenate([end, end]),
        np.concatenate([pair[:, 1], pair[:, 0]]),
        np.concatenate([along, along]),
    )


def _meetings(
    triangle: Indices, ends: Indices, points: Floats, flat: _Flat
) -> tuple[Indices, Indices, tuple[Floats, Floats]]:
    """Find which lines (k,) with (k, 2) ends on the same triangle cross, and how far along each they do."""
    order = np.argsort(triangle, kind="stable")
    later = np.searchsorted(triangle[order], triangle[order], side="right") - np.arange(len(order)) - 1
    if later.sum() > _MOST_MEETINGS:
        raise TangledError
    one, other = unrolled(later, np.arange(len(order)) + 1)
    one, other = order[one], order[other]
    apart = (ends[one][:, :, None] != ends[other][:, None, :]).all(axis=(1, 2))
    one, other = one[apart], other[apart]
    a, b = (flat.points(triangle, points[ends[:, end]]) for end in (0, 1))
    before, after = (_turn(b[one] - a[one], end[other] - a[one]) for end in (a, b))
    start, end = (_turn(b[other] - a[other], end[one] - a[other]) for end in (a, b))
    hit = ((before < 0) != (after < 0)) & ((start < 0) != (end < 0))
    before, after, start, end = before[hit], after[hit], start[hit], end[hit]
    return one[hit], other[hit], (start / (start - end), before / (before - after))


def _turn(first: Floats, second: Floats) -> Floats:
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])


def _chosen(lines: _Lines, which: Mask) -> _Lines:
    return _Lines(*(getattr(lines, field.name)[which] for field in fields(_Lines)))


def _joined(lines: Sequence[_Lines]) -> _Lines:
    names = [field.name for field in fields(_Lines)]
    return _Lines(*(np.concatenate([getattr(each, name) for each in lines]) for name in names))


def _both_ways(lines: _Lines) -> _Lines:
    """Give each piece, and after all of them each backward."""
    return _joined([lines, replace(lines, start=lines.end, end=lines.start, along=-lines.along)])


class _Rings:
    """The polygons that pieces make on their left.

    Attributes
    ----------
    left
        (k,) polygon left of each piece, -1 outside of a triangle.
    owner, areas
        (p,) triangle and area of each polygon.
    """

    def __init__(self, halves: _Lines, flat: _Flat, points: Floats) -> None:
        self._start = halves.start
        self._following, self._loop = _loops(halves, flat)
        start, end = (flat.points(halves.triangle, points[each]) for each in (halves.start, halves.end))
        self._seen = start
        areas = np.bincount(self._loop, weights=_turn(start, end)).astype(np.float64)
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


def _loops(halves: _Lines, flat: _Flat) -> tuple[Indices, Indices]:
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
    halves: _Lines, loop: Indices, start: Floats, end: Floats, areas: Floats
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
