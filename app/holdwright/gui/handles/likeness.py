"""A coarse likeness of a surface, drawn in lines: the outline of the hold as the hand has moved it."""

from typing import Final

import numpy as np

from holdwright.geometry.frame import move_points
from holdwright.geometry.sculpt import Floats
from holdwright.gui.viewport.polydata import thinned
from holdwright.pipeline.shown import Surface

CELLS: Final = 60
"""The likeness has about so many cells along the surface's extent."""


class Likeness:
    """A surface made coarse once, to be outlined wherever it is put.

    Parameters
    ----------
    surface
        Wound outward, mm.
    """

    def __init__(self, surface: Surface) -> None:
        coarse = thinned(surface, float(np.ptp(surface.vertices, axis=0).max()) / CELLS)
        self._points = coarse.vertices.astype(np.float64)
        self._triangles = coarse.triangles.astype(np.int64)
        sides = np.stack([self._triangles, np.roll(self._triangles, -1, axis=1)], axis=2).reshape(-1, 2)
        key = np.minimum(*sides.T) * np.int64(len(self._points)) + np.maximum(*sides.T)
        order = np.argsort(key, kind="stable")
        same = key[order[1:]] == key[order[:-1]]
        first, second = order[:-1][same], order[1:][same]
        self._ends = sides[first]
        self._faces = np.stack([first // 3, second // 3], axis=1)

    def outline(self, matrix: Floats, eye: Floats) -> Floats:
        """Give the segments (k, 2, 3) where the surface, put somewhere, turns away from the eye.

        Parameters
        ----------
        matrix
            (4, 4) where it is put.
        eye
            (3,) mm.
        """
        points = move_points(matrix, self._points)
        corners = points[self._triangles]
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        faces_eye = np.einsum("ij,ij->i", normal, eye - corners[:, 0]) > 0.0
        turns = faces_eye[self._faces[:, 0]] != faces_eye[self._faces[:, 1]]
        return np.asarray(points[self._ends[turns]])
