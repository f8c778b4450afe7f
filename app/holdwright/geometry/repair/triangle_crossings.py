"""Where the triangles of a surface cross each other."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.ray_tree import box_levels
from holdwright.geometry.mesh.mesh import Mesh

_MOST_PAIRS = 20_000_000
"""Pairs of boxes in hand at a time, beyond which a surface is too tangled."""


class TangledError(Exception):
    """A surface whose crossings double precision does not tell apart; nobody outside of mending sees it."""


@dataclass(frozen=True, eq=False)
class Crossed:
    """The lines along which triangles cross."""

    points: Floats
    """(n + k, 3) the surface's n vertices, then k points where an edge pierces a triangle."""
    edges: Indices
    share: Floats
    """edges and share: (k, 2) vertices of the edge that each of the k points lies on, lesser first; (k,) how
    far along it."""
    pairs: Indices
    ends: Indices
    """pairs and ends: (s, 2) triangles that cross, and (s, 2) the points between which they do."""


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
    # Each side of one triangle against the other.
    sided, faced = np.concatenate([pairs, pairs[:, ::-1]]).T
    start, end = triangles[sided].ravel(), triangles[sided][:, [1, 2, 0]].ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    of, face = np.repeat(np.tile(np.arange(len(pairs)), 2), 3), np.repeat(faced, 3)
    which, share = _pierced(surface, low, high, face, (low != corner[of]) & (high != corner[of]))
    low, high, face, of = low[which], high[which], face[which], of[which]
    _, once, name = np.unique((low * count + high) * number + face, return_index=True, return_inverse=True)
    touching = np.unique(of)
    cornered = touching[corner[touching] >= 0]
    lines = np.concatenate([of, cornered])
    if (np.bincount(lines, minlength=len(pairs))[touching] != 2).any():
        raise TangledError
    ends = np.concatenate([count + name, corner[cornered]])[np.argsort(lines, kind="stable")].reshape(-1, 2)
    low, high, share = low[once], high[once], share[once]
    there = points[low] + share[:, None] * (points[high] - points[low])
    edges = np.stack([low, high], axis=1)
    return Crossed(np.concatenate([points, there]), edges, share, pairs[touching], ends)


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


def _pierced(
    surface: Mesh, low: Indices, high: Indices, face: Indices, asked: Mask
) -> tuple[Indices, Floats]:
    """Tell which edges (k,), of those asked for, pierce the triangle (k,) beside them, and how far along."""
    points, normals = surface.vertices, surface.crosses[face]
    foot = points[surface.triangles[face, 0]]
    before, after = (np.einsum("ij,ij->i", points[each] - foot, normals) for each in (low, high))
    across = np.flatnonzero(asked & ((before < 0) != (after < 0)))
    start, along = points[low[across]], points[high[across]] - points[low[across]]
    a, b, c = (points[corner] - start for corner in surface.triangles[face[across]].T)
    one, two, three = (
        np.einsum("ij,ij->i", np.cross(first, second), along) > 0
        for first, second in ((a, b), (b, c), (c, a))
    )
    hit = across[(one == two) & (two == three)]
    return hit, before[hit] / (before[hit] - after[hit])
