"""Where a surface has a given height above something: a plane's cut, or a value's limit, and its filling."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import linked_sets
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.polydata import lines_of


@dataclass(frozen=True, eq=False)
class CutPlane:
    """A plane: (3,) origin in mm and (3,) unit normal."""

    origin: Floats
    normal: Floats

    def height(self, place: Floats) -> float:
        """Give a point's height above the plane."""
        return float((place - self.origin) @ self.normal)

    def moved(self, by: Floats) -> "CutPlane":
        """Give the plane after a shift."""
        return CutPlane(self.origin + by, self.normal)


def contour(
    vertices: NDArray[np.floating], triangles: NDArray[np.integer], height: NDArray[np.floating]
) -> tuple[Floats, Indices]:
    """Find the lines at height 0, closed ones where the surface is closed.

    A line's points are named by the edges they lie on, so that neighbouring triangles share them exactly and
    nothing has to be welded. A vertex at height 0 counts as below it, and stands for all edges ending there.

    Parameters
    ----------
    vertices, triangles
        (n, 3) mm, and (m, 3) wound outward.
    height
        (n,) one for each vertex.

    Returns
    -------
    (p, 3) points in mm and (k, 2) segments between them, the solid to their left seen from above.
    """
    above = height > 0
    sides = above[triangles].sum(axis=1)
    crossing = triangles[(sides > 0) & (sides < 3)].astype(np.int64)
    start, stop = crossing, np.roll(crossing, -1, axis=1)
    crossed = above[start] != above[stop]
    falls = above[start[crossed]].reshape(-1, 2)[:, :1]
    upper = np.where(above[start], start, stop)[crossed]
    lower = np.where(above[start], stop, start)[crossed]
    upper = np.where(height[lower] == 0, lower, upper)
    _, first, name = np.unique(lower * len(height) + upper, return_index=True, return_inverse=True)
    upper, lower = upper[first], lower[first]
    share = -height[lower] / np.where(upper == lower, 1.0, height[upper] - height[lower])
    low = vertices[lower].astype(np.float64)
    points = low + (vertices[upper] - low) * share[:, None]
    lines = name.reshape(-1, 2)
    lines = np.where(falls, lines, lines[:, ::-1])
    return points, lines[lines[:, 0] != lines[:, 1]]


def long_lines(points: NDArray[np.floating], lines: Indices, least: float) -> Indices:
    """Give those of (k, 2) segments that belong to a line of at least so many mm altogether."""
    length = np.linalg.norm(points[lines[:, 0]] - points[lines[:, 1]], axis=1)
    line = linked_sets(lines[:, 0], lines[:, 1], len(points))[1][lines[:, 0]] if len(lines) else lines[:, 0]
    return lines[np.bincount(line, length)[line] >= least]


def outline_of(surface: Surface, plane: CutPlane) -> tuple[Floats, Indices]:
    """Give the lines along which a plane meets a surface; see `contour`."""
    return contour(surface.vertices, surface.triangles, (surface.vertices - plane.origin) @ plane.normal)


def cap_of(points: Floats, lines: Indices) -> vtkPolyData:
    """Fill closed outlines, holes left open."""
    fill = vtkContourTriangulator()
    fill.SetInputData(lines_of(points, lines))
    fill.TriangulationErrorDisplayOff()
    fill.Update()
    made: vtkPolyData = fill.GetOutput()
    return made
