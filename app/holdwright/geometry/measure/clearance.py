"""How near a hold's surface comes to a frustum inside it."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.geometry.mesh.mesh import Mesh, lengths, quartered

_MAXIMUM_ROUNDS = 24


@dataclass(frozen=True)
class Clearance:
    """The least distance found and the place on the surface where it is."""

    distance: float
    """Signed, mm: negative where the surface lies inside the frustum; infinite without a surface."""
    place: tuple[float, float, float]
    """(x, y, z), mm."""


NOWHERE = Clearance(float("inf"), (0.0, 0.0, 0.0))


class ClearanceQuery:
    """How near a surface comes to frusta; prepared once, then evaluated for many of them.

    Parameters
    ----------
    surface
        mm; vertices that no triangle uses do not count.
    """

    def __init__(self, surface: Mesh) -> None:
        mesh = surface.compact()
        self._vertices, self._triangles, self._corners = mesh.vertices, mesh.triangles, mesh.corners
        # No point of a triangle is farther than this from its nearest corner.
        self._spans = _longest_edge(self._corners) / np.sqrt(3.0)
        self._seen: dict[object, tuple[Floats, Floats]] = {}

    def at_most(self, frustum: Frustum) -> float:
        """Give a distance that the surface surely comes within, mm: that of its vertices, quickly found."""
        return float(self._distances(frustum).min(initial=np.inf))

    def nearest_to(self, frustum: Frustum, reach: float = np.inf, tolerance: float = 0.01) -> Clearance:
        """Find where the surface comes nearest to a frustum, or lies deepest inside it.

        Branch and bound: triangles that cannot beat the best point met are dropped, the others cut in four.
        The signed distance to a convex body is a convex function, so that its value and gradient at a
        triangle's centroid bound it from below over the whole triangle.

        Parameters
        ----------
        reach
            What is farther away than this is nowhere, mm: the nearer, the faster.
        tolerance
            The distance given is at most this much too large, mm.
        """
        if len(self._triangles) == 0:
            return NOWHERE
        at_vertices = self._distances(frustum)
        first = int(np.argmin(at_vertices))
        best = _nearest(at_vertices[first], self._vertices[first])
        a, b, c = (at_vertices[self._triangles[:, corner]] for corner in range(3))
        bounds = np.minimum(np.minimum(a, b), c) - self._spans
        corners = self._corners[bounds < min(best.distance, reach) - tolerance]
        for _ in range(_MAXIMUM_ROUNDS):
            if len(corners) == 0:
                break
            centres = corners.mean(axis=1)
            values, slopes = frustum.distance_and_gradient(centres)
            least = int(np.argmin(values))
            if values[least] < best.distance:
                best = _nearest(values[least], centres[least])
            rise = np.einsum("tcx,tx->tc", corners - centres[:, None, :], slopes).min(axis=1)
            corners = quartered(corners[values + rise < min(best.distance, reach) - tolerance])
        return best if best.distance <= reach else NOWHERE

    def _distances(self, frustum: Frustum) -> Floats:
        """Give the vertices' distances; frusta tried on one axis see them in the same way."""
        axis = (frustum.foot, frustum.axis)
        if axis not in self._seen:
            self._seen[axis] = frustum.seen_from_axis(self._vertices)[:2]
        return frustum.distance_at(*self._seen[axis])


def _nearest(distance: float, place: Floats) -> Clearance:
    x, y, z = place.tolist()
    return Clearance(float(distance), (x, y, z))


def _longest_edge(corners: Floats) -> Floats:
    longest = np.zeros(len(corners))
    for start, end in ((0, 1), (1, 2), (2, 0)):
        np.maximum(longest, lengths(corners[:, end] - corners[:, start]), out=longest)
    return longest
