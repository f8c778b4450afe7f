"""How far one surface is from another."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.mesh.mesh import Mesh, lengths

SAMPLES = 2500
"""Points of a surface that are measured."""

FINENESS = 60.0
"""Points strewn along a surface's extent: distances come out too large by less than that, near gaps alone."""

_MOST_POINTS = 300_000
_CHUNK = 20_000
_FEW, _MANY = 4, 200
"""Strewn points whose triangles are measured: at first, and for what then is not on the surface itself."""


@dataclass(frozen=True, eq=False)
class NearestPoints:
    """The (n, 3) points of a surface nearest to given ones, their distances (n,) and triangles (n,)."""

    points: Floats
    distance: Floats
    triangles: Indices

    @property
    def arrays(self) -> tuple[NDArray[Any], ...]:
        """All three."""
        return self.points, self.distance, self.triangles


@dataclass(frozen=True)
class Deviation:
    """Distances from points of one surface to another surface."""

    largest: float
    mean: float


NONE = Deviation(0.0, 0.0)


class SurfacePoints:
    """Finds the points of a surface nearest to given ones.

    Samples lie on every triangle no farther apart than `spacing`, or as near to that as a given number
    allows; the triangles of those nearest to a given point are then measured exactly.
    """

    def __init__(self, surface: Mesh, spacing: float) -> None:
        corners = surface.corners
        sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2).max(axis=1)
        divisions = np.maximum(np.ceil(sides / max(spacing, 1e-300)), 1.0)
        while np.square(divisions).sum() > _MOST_POINTS and divisions.max() > 1.0:
            divisions = np.maximum(np.floor(divisions / 1.5), 1.0)
        self._corners = corners
        points, self._owner = _strewn(corners, divisions.astype(np.int64))
        self._tree = cKDTree(points)
        self._touching = 1e-9 * float(np.ptp(points, axis=0).max())

    def near(self, points: Floats) -> NearestPoints:
        """Find points of the surface near (n, 3) points: the nearest, but for slivers and gaps."""
        return self._measured(points, _FEW)

    def nearest(self, points: Floats) -> NearestPoints:
        """Find the points of the surface nearest to (n, 3) points."""
        found = self._measured(points, _FEW)
        off = np.flatnonzero(found.distance > self._touching)
        if len(off) and len(self._owner) > _FEW and len(off) <= _CHUNK // 4:
            closer = self._measured(points[off], _MANY)
            nearer = closer.distance < found.distance[off]
            for kept, better in zip(found.arrays, closer.arrays, strict=True):
                kept[off[nearer]] = better[nearer]
        return found

    def _measured(self, points: Floats, candidates: int) -> NearestPoints:
        best, least = np.empty_like(points), np.full(len(points), np.inf)
        triangles = np.zeros(len(points), dtype=np.int64)
        count = min(candidates, len(self._owner))
        for first in range(0, len(points), _CHUNK):
            chunk = slice(first, first + _CHUNK)
            asked = points[chunk]
            strewn = np.asarray(self._tree.query(asked, k=count)[1]).reshape(len(asked), count)
            owners = np.sort(self._owner[strewn], axis=1)
            fresh = np.concatenate([np.ones((len(asked), 1), bool), np.diff(owners, axis=1) != 0], axis=1)
            row, column = np.nonzero(fresh)
            there = closest_on_triangles(asked[row], self._corners[owners[row, column]])
            distance = lengths(there - asked[row])
            order = np.lexsort((distance, row))
            foremost = order[np.concatenate(([True], np.diff(row[order]) != 0))]
            best[chunk], least[chunk] = there[foremost], distance[foremost]
            triangles[chunk] = owners[row, column][foremost]
        return NearestPoints(best, least, triangles)


def closest_on_triangles(points: Floats, corners: Floats) -> Floats:
    """Give the point of each of (n, 3, 3) triangles nearest to each of (n, 3) points.

    Source: C. Ericson, Real-Time Collision Detection, 2005, 5.1.5.
    """
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    sides = [_closest_on_edges(points, p, q) for p, q in ((a, b), (b, c), (c, a))]
    gaps = np.stack([np.einsum("ij,ij->i", side - points, side - points) for side in sides])
    nearest = np.stack(sides)[np.argmin(gaps, axis=0), np.arange(len(points))]
    across = np.cross(b - a, c - a)
    square = np.einsum("ij,ij->i", across, across)
    height = np.einsum("ij,ij->i", points - a, across) / np.where(square > 0, square, 1.0)
    foot = points - height[:, None] * across
    inside = square > 0
    for p, q in ((a, b), (b, c), (c, a)):
        inside &= np.einsum("ij,ij->i", np.cross(q - p, foot - p), across) >= 0
    return np.asarray(np.where(inside[:, None], foot, nearest))


def sampled(surface: Mesh, size: int = SAMPLES) -> Floats:
    """Give about `size` points of a surface, spread by area, always the same: vertices and inner points."""
    if not surface.areas.sum() > 0.0:
        return np.asarray(surface.corners.reshape(-1, 3)[:size])
    inner, _ = points_by_area(surface, size)
    used = np.unique(surface.triangles)
    return np.concatenate([surface.vertices[used[:: max(1, len(used) // size)]], inner])


def points_by_area(surface: Mesh, size: int) -> tuple[Floats, Indices]:
    """Give `size` points (size, 3) within triangles, spread by area, always the same, and their triangles."""
    reached = np.cumsum(2.0 * surface.areas)
    chosen = np.searchsorted(reached, (np.arange(size) + 0.5) * reached[-1] / size)
    chosen = np.minimum(chosen, len(reached) - 1).astype(np.int64)
    weights = np.random.default_rng(1).dirichlet((1.0, 1.0, 1.0), size)
    return np.einsum("ij,ijk->ik", weights, surface.vertices[surface.triangles[chosen]]), chosen


def apart(surface: Mesh, other: Mesh) -> Mesh:
    """Give the triangles of a surface that are not, corner for corner, triangles of the other one as well."""
    points = np.concatenate([surface.vertices, other.vertices]) + 0.0  # no minus zero
    names = np.unique(points, axis=0, return_inverse=True)[1].reshape(-1)
    own, their = names[surface.triangles], names[other.triangles + len(surface.vertices)]
    keys = np.unique(np.sort(np.concatenate([own, their]), axis=1), axis=0, return_inverse=True)[1].reshape(
        -1
    )
    return surface.submesh(~np.isin(keys[: len(own)], keys[len(own) :]))


def _closest_on_edges(points: Floats, start: Floats, end: Floats) -> Floats:
    along = end - start
    square = np.einsum("ij,ij->i", along, along)
    share = np.einsum("ij,ij->i", points - start, along) / np.where(square > 0, square, 1.0)
    return np.asarray(start + np.clip(share, 0.0, 1.0)[:, None] * along)


def _strewn(corners: Floats, divisions: Indices) -> tuple[Floats, Indices]:
    """Strew points over (m, 3, 3) triangles, in the middles of the small ones their division makes."""
    owner, place = unrolled(divisions * divisions)
    n = divisions[owner]
    row = np.floor(np.sqrt(place)).astype(np.int64)
    row -= row * row > place
    row += (row + 1) * (row + 1) <= place
    column = place - row * row
    # In row r of n lie 2 r + 1 small triangles, upright ones at even places.
    upright = column % 2 == 0
    second = (column // 2 + np.where(upright, 1.0, 2.0) / 3.0) / n
    height = (row + np.where(upright, 2.0, 1.0) / 3.0) / n
    a, b, c = corners[owner, 0], corners[owner, 1], corners[owner, 2]
    return a + (b - a) * height[:, None] + (c - b) * second[:, None], owner
