"""Cutting triangles into polygons along the lines where they cross."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.mesh.connectivity import side_ends
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.polygon_rings import FlatView, PolygonRings, TriangleLines, turn_of
from holdwright.geometry.repair.triangle_crossings import Crossed, TangledError

_MOST_MEETINGS = 5_000_000
"""Pairs of lines on one triangle, over all triangles, beyond which a surface is too tangled."""


@dataclass(frozen=True, eq=False)
class Polygons:
    """What the lines part triangles into."""

    points: Floats
    """(n, 3) the surface's vertices, and more."""
    owner: Indices
    """(p,) the triangle of the surface that each polygon is of."""
    areas: Floats
    """(p,) of each polygon."""
    start: Indices
    end: Indices
    left: Indices
    """start, end, left: (k,) each: ends of the pieces of triangles' sides, and the polygon left of each."""
    beside: Indices
    across: Indices
    step: Indices
    """beside, across, step: (s,) each: polygons left and right of a line, and by how much the winding number
    left of it is greater. Each line comes both ways."""
    _rings: PolygonRings

    def triangulated(self, chosen: Mask) -> tuple[Indices, Indices]:
        """Cut the polygons chosen (p,) into triangles: (m, 3), and the polygon of each."""
        count = len(self._rings.areas)
        triangles, of = self._rings.triangulated(chosen[:count])
        whole = np.flatnonzero(chosen[count:])
        sides = self.start[-3 * (len(self.owner) - count) :].reshape(-1, 3)
        return np.concatenate([triangles, sides[whole]]), np.concatenate([of, count + whole])


def polygons_of(surface: Mesh, met: Crossed) -> Polygons:
    """Give the polygons into which triangles that are crossed are cut.

    Raises
    ------
    TangledError
        When rounding leaves lines that do not meet as they must.
    """
    flat = FlatView(surface)
    points, lines = _lines(met, flat)
    sides = _sides(surface, met)
    crossed = np.isin(sides.triangle, met.pairs)
    halves = _both_ways(_joined([_chosen(sides, crossed), lines]))
    rings = PolygonRings(halves, flat, points)
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


def _sides(surface: Mesh, met: Crossed) -> TriangleLines:
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
    return TriangleLines(
        side // 3,
        np.where(forward, low, high),
        np.where(forward, high, low),
        np.full(len(side), -1),
        (surface.vertices[end] - surface.vertices[start])[side],
    )


def _lines(met: Crossed, flat: FlatView) -> tuple[Floats, TriangleLines]:
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
    return points, TriangleLines(
        np.concatenate([pair[:, 0], pair[:, 1]]),
        np.concatenate([start, start]),
        np.concatenate([end, end]),
        np.concatenate([pair[:, 1], pair[:, 0]]),
        np.concatenate([along, along]),
    )


def _meetings(
    triangle: Indices, ends: Indices, points: Floats, flat: FlatView
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
    before, after = (turn_of(b[one] - a[one], end[other] - a[one]) for end in (a, b))
    start, end = (turn_of(b[other] - a[other], end[one] - a[other]) for end in (a, b))
    hit = ((before < 0) != (after < 0)) & ((start < 0) != (end < 0))
    before, after, start, end = before[hit], after[hit], start[hit], end[hit]
    return one[hit], other[hit], (start / (start - end), before / (before - after))


def _chosen(lines: TriangleLines, which: Mask) -> TriangleLines:
    return TriangleLines(*(getattr(lines, field.name)[which] for field in fields(TriangleLines)))


def _joined(lines: Sequence[TriangleLines]) -> TriangleLines:
    names = [field.name for field in fields(TriangleLines)]
    return TriangleLines(*(np.concatenate([getattr(each, name) for each in lines]) for name in names))


def _both_ways(lines: TriangleLines) -> TriangleLines:
    """Give each piece, and after all of them each backward."""
    return _joined([lines, replace(lines, start=lines.end, end=lines.start, along=-lines.along)])
