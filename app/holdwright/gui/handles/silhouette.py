"""A silhouette of a surface, drawn in lines: the outline of the hold as the pointer has moved it."""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import linked_sets
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.viewport.polydata import thinned
from holdwright.gui.viewport.surface_mesh import surface_mesh
from holdwright.pipeline.display_results import Surface

CELLS: Final = 70
"""The silhouette has about so many cells along the surface's extent."""

SHORTEST: Final = 0.15
"""Lines shorter than this share of the extent are left out."""

AGAINST: Final = 0.01
"""Share of a surface's edges that two faces run through the same way, from which its winding says nothing."""

_ROUNDS: Final = 3
"""So often a point's normal is mixed with its neighbours', so that the outline runs smoothly."""


class Silhouette:
    """A surface made coarse once, to be outlined wherever it is put.

    Parameters
    ----------
    surface
        Wound outward, mm.
    """

    def __init__(self, surface: Surface) -> None:
        self._extent = float(np.ptp(surface.vertices, axis=0).max())
        coarse = thinned(surface, self._extent / CELLS)
        self._points = coarse.vertices.astype(np.float64)
        self._triangles = coarse.triangles.astype(np.int64)
        self._normals = _smoothed(
            self._triangles, surface_mesh(coarse, fine=False).normals.astype(np.float64)
        )

    def outline(self, matrix: Floats, eye: Floats) -> Floats:
        """Give the segments (k, 2, 3) where the surface, put somewhere, turns away from the eye.

        Parameters
        ----------
        matrix
            (4, 4) similarity that puts it there.
        eye
            (3,) mm.
        """
        points = move_points(matrix, self._points)
        normals = self._normals @ matrix[:3, :3].T
        facing = np.einsum("ij,ij->i", normals, eye - points)
        segments, sides = _zero_lines(points, self._triangles, facing)
        scale = float(np.cbrt(abs(np.linalg.det(matrix[:3, :3]))))
        return segments[_long(segments, sides, SHORTEST * self._extent * scale)]


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
    met = np.unique(start * (int(triangles.max()) + 1) + end)
    return len(met) < (1.0 - AGAINST) * len(start)


def _smoothed(triangles: Indices, normals: Floats) -> Floats:
    rows, columns = triangles.reshape(-1), np.roll(triangles, -1, axis=1).reshape(-1)
    count = len(normals)
    links = coo_array((np.ones(len(rows)), (rows, columns)), shape=(count, count)).tocsr()
    links = links + links.T
    for _ in range(_ROUNDS):
        normals = normals + (links @ normals) / np.maximum(links.sum(axis=1), 1.0)[:, None]
        normals = normals / np.maximum(np.linalg.norm(normals, axis=1), 1e-30)[:, None]
    return np.asarray(normals)


def _zero_lines(points: Floats, triangles: Indices, values: Floats) -> tuple[Floats, Indices]:
    """Give where values pass zero: segments (k, 2, 3), and (k, 2) numbers of the edges they run between."""
    above = values[triangles] > 0.0
    count = above.sum(axis=1)
    met = (count == 1) | (count == 2)
    single = count[met] == 1
    alone = np.argmax(above[met] == single[:, None], axis=1)
    order = (alone[:, None] + np.arange(3)) % 3
    corners = np.take_along_axis(triangles[met], order, axis=1)
    ends, sides = [], []
    for other in (1, 2):
        one, two = corners[:, 0], corners[:, other]
        share = values[one] / (values[one] - values[two])
        ends.append(points[one] + share[:, None] * (points[two] - points[one]))
        sides.append(np.minimum(one, two) * np.int64(len(points)) + np.maximum(one, two))
    return np.stack(ends, axis=1), np.stack(sides, axis=1)


def _long(segments: Floats, sides: Indices, least: float) -> NDArray[np.bool_]:
    """Tell which segments are part of a line of at least so many mm."""
    if not len(segments):
        return np.zeros(0, dtype=np.bool_)
    names, local = np.unique(sides, return_inverse=True)
    local = local.reshape(-1, 2)
    line = linked_sets(local[:, 0], local[:, 1], len(names))[1][local[:, 0]]
    length = np.bincount(line, np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1))
    return np.asarray(length[line] >= least)
