"""A silhouette of a surface, drawn in lines: the outline of the hold as the pointer has moved it."""

import numpy as np
from scipy.sparse import coo_array

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import contour, long_lines
from holdwright.render.polydata import thinned
from holdwright.render.surface_mesh import surface_mesh


class Silhouette:
    """A surface made coarse once, to be outlined wherever it is put.

    Parameters
    ----------
    surface
        Wound outward, mm.
    """

    def __init__(self, surface: Surface) -> None:
        self._extent = float(np.ptp(surface.vertices, axis=0).max())
        # About so many cells along its extent.
        coarse = thinned(surface, self._extent / 70)
        self._points = coarse.vertices.astype(np.float64)
        self._triangles = coarse.triangles.astype(np.int64)
        self._normals = _smoothed(
            self._triangles, surface_mesh(coarse, fine=False).normals.astype(np.float64)
        )

    def outline(self, matrix: Floats, camera: Floats) -> Floats:
        """Give the segments (k, 2, 3) where the surface, put somewhere, turns away from the camera.

        Parameters
        ----------
        matrix
            (4, 4) similarity that puts it there.
        camera
            (3,) mm.
        """
        points = move_points(matrix, self._points)
        normals = self._normals @ matrix[:3, :3].T
        facing = np.einsum("ij,ij->i", normals, camera - points)
        ends, lines = contour(points, self._triangles, facing)
        # Shorter lines, of the extent, are left out.
        return np.asarray(ends[long_lines(ends, lines, 0.15 * self._extent * scale_of(matrix))])


def thicker(surface: Surface, by: float) -> Floats:
    """Give a surface's points moved outward by so many mm, so that it can be drawn over itself."""
    normals = surface_mesh(surface, fine=False).normals
    away = np.einsum("ij,ij->i", surface.vertices - surface.vertices.mean(axis=0), normals)
    if _wound_both_ways(surface.triangles.astype(np.int64)):
        outward = np.where(away > 0.0, 1.0, -1.0)[:, None]
    else:  # a piece of a raw sculpt may be inside out
        outward = np.array(1.0 if away.sum() > 0.0 else -1.0)
    return np.asarray(surface.vertices + by * outward * normals, dtype=np.float64)


def _wound_both_ways(triangles: Indices) -> bool:
    """Tell whether neighbours in a surface are wound against each other, as in what is badly torn."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    runs = np.unique(start * (int(triangles.max()) + 1) + end)
    # Where two faces run the same way through more edges, winding says nothing.
    return len(runs) < 0.99 * len(start)


def _smoothed(triangles: Indices, normals: Floats) -> Floats:
    rows, columns = triangles.reshape(-1), np.roll(triangles, -1, axis=1).reshape(-1)
    count = len(normals)
    links = coo_array((np.ones(len(rows)), (rows, columns)), shape=(count, count)).tocsr()
    links = links + links.T
    # Mixed with its neighbours' so often, so that the outline runs smoothly.
    for _ in range(3):
        normals = normals + (links @ normals) / np.maximum(links.sum(axis=1), 1.0)[:, None]
        normals = normals / np.maximum(np.linalg.norm(normals, axis=1), 1e-30)[:, None]
    return np.asarray(normals)
