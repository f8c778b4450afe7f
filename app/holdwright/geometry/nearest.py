"""The point of a surface nearest to a given one, exactly."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.sculpt import Floats, Indices
from holdwright.geometry.solid import Solid

_FACING = 0.5
"""Cosine of 60 degrees: beyond it a surface faces another way."""


@dataclass(frozen=True, eq=False)
class SurfacePoint:
    """A point on a solid's surface.

    Attributes
    ----------
    point
        (3,) float64, mm.
    normal
        (3,) float64 unit, outward: mean over the triangles close by, so that a rough surface does not jitter.
    distance
        mm from the point asked about.
    triangle
        Index of the triangle it lies on, within this solid's own arrays.
    """

    point: Floats
    normal: Floats
    distance: float
    triangle: int


def nearest(
    solid: Solid, point: Floats, facing: Floats | None = None, reach: float = 1.0
) -> SurfacePoint | None:
    """Find the surface point nearest to `point`.

    Parameters
    ----------
    solid
        mm.
    point
        (3,) float64, mm.
    facing
        (3,) unit: count only triangles whose normal is within 60 degrees of it. All where left out.
    reach
        Radius in mm over which the normal is averaged.

    Returns
    -------
    SurfacePoint or None
        None when no triangle faces that way.

    Notes
    -----
    Only triangles whose box comes nearer than the nearest corner are measured, so no search tree is needed:
    a few picks cost less than building one. Point to triangle as in C. Ericson, "Real-Time Collision
    Detection" (2005), 5.1.5.
    """
    corners = solid.vertices - point
    triangles = solid.triangles
    if facing is not None:
        triangles_kept = np.flatnonzero(_normals(corners, triangles) @ facing > _FACING)
        if not len(triangles_kept):
            return None
        triangles = triangles[triangles_kept]
    squares = np.einsum("ij,ij->i", corners, corners)
    bound = float(np.sqrt(squares[triangles].min())) if facing is not None else float(np.sqrt(squares.min()))
    close = _within(corners, triangles, max(bound * (1 + 1e-9), reach))
    found = _closest_on_triangles(corners[triangles[close]])
    distance = np.linalg.norm(found, axis=1)
    best = int(np.argmin(distance))
    chosen = int(close[best])
    return SurfacePoint(
        point=found[best] + point,
        normal=_mean_normal(
            corners[triangles[close]], best, distance <= max(reach, float(distance[best]) * (1 + 1e-9))
        ),
        distance=float(distance[best]),
        triangle=int(triangles_kept[chosen]) if facing is not None else chosen,
    )


def _normals(corners: Floats, triangles: Indices) -> Floats:
    first = corners[triangles[:, 0]]
    across = np.cross(corners[triangles[:, 1]] - first, corners[triangles[:, 2]] - first)
    length = np.linalg.norm(across, axis=1, keepdims=True)
    return np.asarray(across / np.where(length > 0, length, 1.0))


def _within(corners: Floats, triangles: Indices, radius: float) -> Indices:
    """Triangles whose box comes within `radius` of the origin."""
    gap = np.zeros(len(triangles))
    for axis in range(3):
        values = corners[:, axis][triangles]
        outside = np.maximum(values.min(axis=1), -values.max(axis=1))
        gap += np.square(np.maximum(outside, 0.0))
    return np.flatnonzero(gap <= radius * radius)


def _closest_on_triangles(corners: Floats) -> Floats:
    """Point of each of (m, 3, 3) triangles nearest to the origin."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    candidates = np.stack([_closest_on_edges(a, b), _closest_on_edges(b, c), _closest_on_edges(c, a)], axis=1)
    nearest_edge = np.argmin(np.einsum("ijk,ijk->ij", candidates, candidates), axis=1)
    on_edge = candidates[np.arange(len(candidates)), nearest_edge]
    across = np.cross(b - a, c - a)
    square = np.einsum("ij,ij->i", across, across)
    foot = across * (np.einsum("ij,ij->i", a, across) / np.where(square > 0, square, 1.0))[:, None]
    sides = [np.einsum("ij,ij->i", np.cross(q - p, foot - p), across) for p, q in ((a, b), (b, c), (c, a))]
    inside = (np.min(sides, axis=0) >= 0) & (square > 0)
    return np.asarray(np.where(inside[:, None], foot, on_edge))


def _closest_on_edges(start: Floats, end: Floats) -> Floats:
    along = end - start
    square = np.einsum("ij,ij->i", along, along)
    share = np.clip(-np.einsum("ij,ij->i", start, along) / np.where(square > 0, square, 1.0), 0.0, 1.0)
    return np.asarray(start + share[:, None] * along)


def _mean_normal(corners: Floats, best: int, close: np.ndarray) -> Floats:
    """Area-weighted normal of the close triangles that face the way the nearest one does."""
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(across, axis=1)
    own = across[best] / length[best] if length[best] > 0 else across[close].sum(axis=0)
    agreeing = close & (across @ own > _FACING * length)
    total = across[agreeing].sum(axis=0) if agreeing.any() else own
    return np.asarray(total / np.linalg.norm(total))
