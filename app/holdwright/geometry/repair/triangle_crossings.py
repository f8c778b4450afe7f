"""Where the triangles of a surface cross each other."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.ray_tree import box_levels
from holdwright.geometry.mesh.mesh import Mesh, cross_products

_MOST_PAIRS = 20_000_000
"""Pairs of boxes in hand at a time, beyond which a surface is too tangled."""


class TangledError(Exception):
    """A surface whose crossings double precision does not tell apart; nobody outside of mending sees it."""


@dataclass(frozen=True, eq=False)
class Crossed:
    """The lines along which triangles cross.

    Attributes
    ----------
    points
        (n + k, 3) the surface's n vertices, then k points where an edge pierces a triangle.
    edges, share
        (k, 2) vertices of the edge that each of the k points lies on, lesser first; (k,) how far along it.
    pairs, ends
        (s, 2) triangles that cross, and (s, 2) the points between which they do.
    """

    points: Floats
    edges: Indices
    share: Floats
    pairs: Indices
    ends: Indices


def crossed(surface: Mesh) -> Crossed:
    """Find the lines along which triangles of a surface cross.

    Parameters
    ----------
    surface
        Triangles meet only at vertices they share; none lies in another one's plane, which holds for any
        surface once its vertices are moved at random by far more than rounding does.

    Raises
    ------
    TangledError
        When rounding leaves a line with other than two ends, or there are too many.
    """
    points, triangles = surface.vertices, surface.triangles
    pairs, corner = _across(surface, _near_pairs(surface))
    count, number = len(points), len(triangles)
    # Each side of one triangle against the other: (2 k, 3) sides, (2 k,) faces.
    sided, faced = np.concatenate([pairs, pairs[:, ::-1]]).T
    start, end = triangles[sided], triangles[sided][:, [1, 2, 0]]
    edge = np.minimum(start, end) * count + np.maximum(start, end)
    key, place = np.unique(edge * number + faced[:, None], return_inverse=True)
    ends, face = np.stack(np.divmod(key // number, count), axis=1), key % number
    hit, share = _pierced(points, ends, triangles[face])
    met = hit[place.reshape(edge.shape)]
    met = np.concatenate([met[: len(pairs)], met[len(pairs) :]], axis=1)
    name = (np.cumsum(hit) - 1 + count)[place.reshape(edge.shape)]
    name = np.concatenate([name[: len(pairs)], name[len(pairs) :]], axis=1)
    touching = met.any(axis=1)
    if (met.sum(axis=1) != np.where(corner >= 0, 1, 2))[touching].any():
        raise TangledError
    met, name, corner = met[touching], name[touching], corner[touching]
    pierce = np.sort(np.where(met, name, -1), axis=1)[:, -2:]
    pierce[:, 0] = np.where(corner >= 0, corner, pierce[:, 0])
    on, along = ends[hit], share[hit]
    there = points[on[:, 0]] + along[:, None] * (points[on[:, 1]] - points[on[:, 0]])
    return Crossed(np.concatenate([points, there]), on, along, pairs[touching], pierce)


def _near_pairs(surface: Mesh) -> Indices:
    """Give the (k, 2) pairs of triangles whose boxes meet, lesser number first."""
    order, levels = box_levels(surface.corners)
    first = second = np.zeros(1, dtype=np.int64)
    for depth, bounds in enumerate(levels):
        if depth:
            first, second = np.repeat(2 * first, 4), np.repeat(2 * second, 4)
            first += np.tile([0, 0, 1, 1], len(first) // 4)
            second += np.tile([0, 1, 0, 1], len(second) // 4)
            kept = (first <= second) & (second < len(bounds[0][0]))
            first, second = first[kept], second[kept]
        for low, high in bounds:
            kept = (low[first] <= high[second]) & (low[second] <= high[first])
            first, second = first[kept], second[kept]
        if len(first) > _MOST_PAIRS:
            raise TangledError
    one, other = order[first[first != second]], order[second[first != second]]
    return np.stack([np.minimum(one, other), np.maximum(one, other)], axis=1)


def _across(surface: Mesh, pairs: Indices) -> tuple[Indices, Indices]:
    """Keep pairs each of which reaches to both sides of the other's plane.

    Comes with (k,) the vertex that both share, else -1.
    """
    corners, normals = np.ascontiguousarray(surface.triangles.T), surface.crosses
    for one, other in ((0, 1), (1, 0)):
        first, second = pairs[:, one], pairs[:, other]
        own = [corner[first] for corner in corners]
        normal, foot = normals[first], surface.vertices[own[0]]
        above, below = np.zeros((2, len(pairs)), dtype=bool)
        shared = np.full(len(pairs), -1)
        for corner in corners:
            theirs = corner[second]
            away = np.einsum("ij,ij->i", surface.vertices[theirs] - foot, normal)
            apart = (theirs != own[0]) & (theirs != own[1]) & (theirs != own[2])
            above |= apart & (away > 0.0)
            below |= apart & (away < 0.0)
            shared = np.where(apart, shared, theirs)
        # Neighbours across an edge have one corner apart, which lies on one side alone.
        pairs, shared = pairs[above & below], shared[above & below]
    return pairs, shared


def _pierced(points: Floats, ends: Indices, faces: Indices) -> tuple[np.ndarray, Floats]:
    """Tell which of (k, 2) edges pierce the (k, 3) triangle beside them, and how far along they do."""
    start, end = points[ends[:, 0]], points[ends[:, 1]]
    corners = points[faces] - start[:, None]
    normals = cross_products(points, faces)
    before = -np.einsum("ij,ij->i", corners[:, 0], normals)
    after = before + np.einsum("ij,ij->i", end - start, normals)
    apart = (faces[:, :, None] != ends[:, None, :]).all(axis=(1, 2))
    turns = [
        np.einsum("ij,ij->i", np.cross(corners[:, one], corners[:, one - 2]), end - start) > 0
        for one in range(3)
    ]
    hit = apart & ((before < 0) != (after < 0)) & (turns[0] == turns[1]) & (turns[1] == turns[2])
    return hit, before / np.where(before == after, 1.0, before - after)
