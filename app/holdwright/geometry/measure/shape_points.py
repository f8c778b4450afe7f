"""Points spread over a surface: as much of a shape as another one is laid on it by."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import points_by_area
from holdwright.geometry.mesh.mesh import Mesh, cross_products, lengths

REMEMBERED = 2000
"""Points that are enough to lay a sculpt on another one by."""


@dataclass(frozen=True, eq=False)
class ShapePoints:
    """Points that each stand for as much of a surface as any other."""

    points: Floats
    """(n, 3) float64, any unit."""
    normals: Floats
    """(n, 3) float64, unit, as the surface is wound there; zero on a triangle without area."""

    @cached_property
    def middle(self) -> Floats:
        """(3,) their centroid."""
        return np.asarray(self.points.mean(axis=0))

    @cached_property
    def radius(self) -> float:
        """Root mean square of their distances from the middle: a size that no turning changes."""
        return float(np.sqrt(np.square(self.points - self.middle).sum(axis=1).mean()))

    @cached_property
    def tree(self) -> cKDTree:
        """For the points nearest to others."""
        return cKDTree(self.points)

    def thinned(self, size: int) -> "ShapePoints":
        """Give at most so many of them, spread as they are."""
        step = max(1, -(-len(self.points) // size))
        return ShapePoints(self.points[::step], self.normals[::step])

    def normalised(self) -> "ShapePoints":
        """Give them about the origin at radius 1."""
        return ShapePoints((self.points - self.middle) / self.radius, self.normals)


def shape_points(surface: Mesh, size: int = REMEMBERED) -> ShapePoints:
    """Spread points over a surface by area; the same surface always gives the same."""
    points, owners = points_by_area(surface, size)
    across = cross_products(surface.vertices, surface.triangles[owners])
    length = lengths(across)
    return ShapePoints(points, across / np.where(length > 0.0, length, 1.0)[:, None])
