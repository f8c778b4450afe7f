"""How near a hold's surface comes to a frustum inside it."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.frustum import Frustum
from holdwright.geometry.sculpt import Floats, Indices

_MAXIMUM_ROUNDS = 24


@dataclass(frozen=True)
class Nearest:
    """The least distance met and the place on the surface where it is.

    Attributes
    ----------
    distance
        Signed, mm: negative where the surface lies inside the frustum; infinite without a surface.
    place
        (x, y, z), mm.
    """

    distance: float
    place: tuple[float, float, float]


NOWHERE = Nearest(float("inf"), (0.0, 0.0, 0.0))


def nearest_to_frustum(
    frustum: Frustum,
    vertices: Floats,
    triangles: Indices,
    reach: float = np.inf,
    tolerance: float = 0.01,
) -> Nearest:
    """Find where a surface comes nearest to a frustum, or lies deepest inside it.

    Branch and bound: triangles that cannot beat the best point met are dropped, the others are cut in four.
    The signed distance to a convex body is a convex function, so that its value and gradient at a triangle's
    centroid bound it from below over the whole triangle.

    Parameters
    ----------
    vertices
        (n, 3) float64, mm.
    triangles
        (m, 3) indices into `vertices`.
    reach
        What is farther away than this is nowhere, mm: the nearer, the faster.
    tolerance
        The distance given is at most this much too large, mm.
    """
    if len(triangles) == 0:
        return NOWHERE
    used, corner = np.unique(triangles, return_inverse=True)
    at_vertices = frustum.distance(vertices[used])
    first = int(np.argmin(at_vertices))
    best = _nearest(at_vertices[first], vertices[used[first]])
    corners = vertices[triangles]
    nearest_corner = at_vertices[corner.reshape(-1, 3)].min(axis=1)
    corners = corners[
        nearest_corner - _longest_edge(corners) / np.sqrt(3.0) < min(best.distance, reach) - tolerance
    ]
    for _ in range(_MAXIMUM_ROUNDS):
        if len(corners) == 0:
            break
        centres = corners.mean(axis=1)
        values, slopes = frustum.distance_and_gradient(centres)
        least = int(np.argmin(values))
        if values[least] < best.distance:
            best = _nearest(values[least], centres[least])
        rise = np.einsum("tcx,tx->tc", corners - centres[:, None, :], slopes).min(axis=1)
        corners = _quartered(corners[values + rise < min(best.distance, reach) - tolerance])
    return best if best.distance <= reach else NOWHERE


def _nearest(distance: float, place: Floats) -> Nearest:
    x, y, z = place.tolist()
    return Nearest(float(distance), (x, y, z))


def _longest_edge(corners: Floats) -> Floats:
    edges = corners - np.roll(corners, 1, axis=1)
    return np.asarray(np.sqrt(np.einsum("tcx,tcx->tc", edges, edges).max(axis=1)))


def _quartered(corners: Floats) -> Floats:
    """Cut each triangle (m, 3, 3) into four at the middles of its edges."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = (a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0
    parts = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.concatenate([np.stack(part, axis=1) for part in parts])
