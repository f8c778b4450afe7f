"""A sample of a solid's surface: enough to judge shape by, at a cost that does not grow with the mesh."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh, cross_products, lengths
from holdwright.geometry.mesh.solid import Solid

SAMPLE_SIZE = 20_000


@dataclass(frozen=True, eq=False)
class SurfaceSample:
    """Triangles that stand for the whole surface."""

    corners: Floats
    """(k, 3, 3) float64, mm: three corners of each triangle."""
    normals: Floats
    """(k, 3) float64, unit, outward."""
    weights: Floats
    """(k,) float64, mm2: area each stands for. They add up to the surface's area."""

    @property
    def points(self) -> Floats:
        """(3 k, 3) all corners."""
        return self.corners.reshape(-1, 3)

    @cached_property
    def middles(self) -> Floats:
        """(k, 3) centre of each triangle."""
        return np.asarray((self.corners[:, 0] + self.corners[:, 1] + self.corners[:, 2]) / 3.0)

    def levels(self, direction: Floats) -> tuple[Floats, Floats]:
        """Lowest and highest corner (k,) of each triangle along a (3,) direction, mm."""
        first, second, third = (self.corners @ direction).T
        low = np.minimum(np.minimum(first, second), third)
        return low, np.maximum(np.maximum(first, second), third)

    def chosen(self, numbers: Indices) -> "SurfaceSample":
        """Give some of the triangles (n,) as a sample of their own."""
        return SurfaceSample(self.corners[numbers], self.normals[numbers], self.weights[numbers])

    @cached_property
    def span(self) -> float:
        """Twice the greatest distance from the surface's middle, mm: a size that turning does not change."""
        middle = self.weights @ self.middles / self.weights.sum()
        away = self.points - middle
        return 2.0 * float(np.sqrt(np.einsum("ij,ij->i", away, away).max()))

    @cached_property
    def centroid(self) -> Floats:
        """(3,) centre of gravity of the solid, mm, as the divergence theorem gives it from the surface."""
        origin = self.points.mean(axis=0)
        corners = self.corners - origin
        flux = self.normals * self.weights[:, None]
        volume = float(np.einsum("ij,ij->", corners.mean(axis=1), flux)) / 3.0
        middles = (corners + np.roll(corners, -1, axis=1)) / 2.0  # exact for squares: mean over edge middles
        moment = 0.5 * np.einsum("ij,ij->j", np.square(middles).mean(axis=1), flux)
        return np.asarray(origin + moment / volume)


def whole_surface(solid: Solid | Mesh) -> SurfaceSample:
    """Take every triangle of a solid, or of its surface."""
    flux, areas = _area_vectors(solid)
    return _taken(solid, flux, areas, np.arange(len(areas)), areas)


def sample_surface(solid: Solid, size: int = SAMPLE_SIZE) -> SurfaceSample:
    """Take a sample of a solid's surface.

    A mesh of at most `size` triangles is taken whole. Of a larger one every (area / size)-th square
    millimetre is taken in the order the triangles come: the same mesh always gives the same sample, and a
    large triangle is taken as often as its area deserves.
    """
    flux, areas = _area_vectors(solid)
    if len(areas) <= size:
        return _taken(solid, flux, areas, np.arange(len(areas)), areas)
    reached = np.cumsum(areas)
    each = float(reached[-1]) / size
    chosen = np.searchsorted(reached, (np.arange(size) + 0.5) * each)
    return _taken(solid, flux, areas, chosen, np.full(size, each))


def _taken(
    solid: Solid | Mesh, flux: Floats, areas: Floats, chosen: Indices, weights: Floats
) -> SurfaceSample:
    lengths = np.where(areas[chosen] > 0, areas[chosen], 1.0)
    return SurfaceSample(solid.vertices[solid.triangles[chosen]], flux[chosen] / lengths[:, None], weights)


def _area_vectors(solid: Solid | Mesh) -> tuple[Floats, Floats]:
    """Give normals as long as the area (m, 3) and areas (m,) of all triangles, mm2."""
    flux = cross_products(solid.vertices, solid.triangles)
    flux *= 0.5
    return flux, lengths(flux)
