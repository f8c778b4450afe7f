"""How far one solid stands out of another, and where it stays behind it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import points_by_area
from holdwright.geometry.measure.nearest_triangles import NearestTriangles
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.mesh.mesh import Mesh

SAMPLES = 6000
"""Points of each surface that are measured."""

_WAYS = np.array([[0.3713, 0.5571, 0.7428], [-0.8081, 0.1155, 0.5776], [0.2182, -0.8729, 0.4364]])
"""Directions in which a point looks for the surface, none along what is usual in a mesh; most of them decide
where one meets it at an edge."""


class SignedDistance:
    """Measures points against one closed surface."""

    def __init__(self, surface: Mesh) -> None:
        self._triangles = NearestTriangles(surface)
        self._rays = RayTree(surface)
        self._crosses = surface.crosses
        self._touching = 1e-6 * surface.diagonal

    def of(self, points: Floats) -> Floats:
        """Give the distance (n,) of points (n, 3) from the surface, mm, positive outside."""
        distance = self._triangles.nearest(points).distance
        inside = np.zeros(len(points), dtype=np.int64)
        off = np.flatnonzero(distance > self._touching)
        for way in _WAYS / np.linalg.norm(_WAYS, axis=1, keepdims=True):
            _, met = self._rays.first_hits(points[off], np.broadcast_to(way, (len(off), 3)))
            # What looks out of a closed solid meets the back of its surface first.
            inside[off] += (met >= 0) & (self._crosses[met] @ way > 0.0)
        return np.where(inside * 2 > len(_WAYS), -distance, distance)


@dataclass(frozen=True, eq=False)
class SurfaceChange:
    """How far a surface is from an old one, at points that share both surfaces evenly among them."""

    values: Floats
    """(n,) mm, positive where there is more than before."""

    @cached_property
    def _sizes(self) -> Floats:
        return np.abs(self.values)

    @property
    def mean(self) -> float:
        """Mean distance, whichever way, mm."""
        return float(self._sizes.mean())

    @property
    def p95(self) -> float:
        """What 95 % of the surfaces stay within, mm."""
        return float(np.quantile(self._sizes, 0.95))

    @property
    def largest(self) -> float:
        """Greatest distance met, mm."""
        return float(self._sizes.max())

    @property
    def gained(self) -> float:
        """How far the new surface stands out at most, mm."""
        return max(float(self.values.max()), 0.0)

    @property
    def lost(self) -> float:
        """How far it stays behind at most, mm."""
        return max(-float(self.values.min()), 0.0)


def surface_change(old: Mesh, new: Mesh, samples: int = SAMPLES) -> SurfaceChange:
    """Measure how far a closed surface is from an old one, from both sides.

    What is new is measured on the new surface and what is gone on the old one, where alone it is seen.
    """
    there = SignedDistance(old).of(points_by_area(new, samples)[0])
    back = SignedDistance(new).of(points_by_area(old, samples)[0])
    return SurfaceChange(np.concatenate([there, -back]))
