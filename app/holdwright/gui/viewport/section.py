"""The face where a solid is cut open, in its own lighter tone, hatched and outlined in ink."""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.sculpt import Floats
from holdwright.gui.viewport.look import INK, rgb
from holdwright.gui.viewport.picking import Plane
from holdwright.gui.viewport.polydata import lines_of, points_in, triangles_in
from holdwright.gui.viewport.shading import shade_cut
from holdwright.pipeline.shown import Surface

OUTLINE_PEN: Final = 2.0


def vtk_plane(plane: Plane) -> vtkPlane:
    """Give a plane as the drawing library's, turned round: what that one keeps lies on its normal's side."""
    made = vtkPlane()
    made.SetOrigin(*plane.origin)
    made.SetNormal(*(-plane.normal))
    return made


def outline_of(surface: Surface, plane: Plane) -> vtkPolyData:
    """Give the lines along which a plane meets a surface: closed ones where the surface is closed.

    A line's points are named by the edges they lie on, so that neighbouring triangles share them exactly and
    nothing has to be welded. A vertex on the plane counts as below it, and stands for all edges ending there.
    """
    height = (surface.vertices - plane.origin) @ plane.normal
    above = height > 0
    crossing = surface.triangles[_differ(above[surface.triangles])].astype(np.int64)
    if not len(crossing):
        return lines_of(np.zeros((0, 3)), np.zeros((0, 2), dtype=np.int64))
    start, stop = crossing, np.roll(crossing, -1, axis=1)
    upper, lower = np.where(above[start], start, stop), np.where(above[start], stop, start)
    crossed = above[start] != above[stop]
    upper, lower = np.where(height[lower] == 0, lower, upper)[crossed], lower[crossed]
    _, first, name = np.unique(lower * len(height) + upper, return_index=True, return_inverse=True)
    upper, lower = upper[first], lower[first]
    share = -height[lower] / np.where(upper == lower, 1.0, height[upper] - height[lower])
    low = surface.vertices[lower].astype(np.float64)
    points = low + (surface.vertices[upper] - low) * share[:, None]
    lines = name.reshape(-1, 2)
    return lines_of(points, lines[lines[:, 0] != lines[:, 1]])


def _differ(corners: NDArray[np.bool_]) -> NDArray[np.bool_]:
    count = corners.sum(axis=1)
    return np.asarray((count > 0) & (count < 3))


def cap_of(outline: vtkPolyData) -> vtkPolyData:
    """Fill closed outlines, holes left open."""
    fill = vtkContourTriangulator()
    fill.SetInputData(outline)
    fill.TriangulationErrorDisplayOff()
    fill.Update()
    made: vtkPolyData = fill.GetOutput()
    return made


def area_of(cap: vtkPolyData) -> float:
    """Give a cap's area in mm2."""
    corners = points_in(cap)[triangles_in(cap)]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(cross, axis=1).sum() / 2)


class Cap:
    """A solid's cut face.

    Parameters
    ----------
    slant
        Which way it is hatched, 1 or -1.
    pixel
        Device pixels to a device-independent one.
    """

    def __init__(self, colour: str, slant: float, pixel: float) -> None:
        self.face = vtkPolyData()
        self._mapper = vtkPolyDataMapper()
        self._mapper.ScalarVisibilityOff()
        self.actor = vtkActor()
        self.actor.SetMapper(self._mapper)
        shade_cut(self.actor, pixel, slant)
        self._line_mapper = vtkPolyDataMapper()
        self._line_mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self._line_mapper.SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, -3.0)
        self.outline = vtkActor()
        self.outline.SetMapper(self._line_mapper)
        pen = self.outline.GetProperty()
        pen.SetColor(*rgb(INK))
        pen.LightingOff()
        pen.SetLineWidth(OUTLINE_PEN * pixel)
        self.paint(colour)
        self.hide()

    def paint(self, colour: str) -> None:
        """Draw it in another tone."""
        self.actor.GetProperty().SetColor(*rgb(colour))

    def cut(self, surface: Surface, plane: Plane, lift: Floats) -> None:
        """Cut a surface, drawn `lift` away from where it lies, along a plane."""
        outline = outline_of(surface, plane.moved(-lift))
        self.face = cap_of(outline)
        self._mapper.SetInputData(self.face)
        self._line_mapper.SetInputData(outline)
        for actor, content in ((self.actor, self.face), (self.outline, outline)):
            actor.SetPosition(*lift)
            actor.SetVisibility(content.GetNumberOfCells() > 0)

    def hide(self) -> None:
        """Draw no cut face."""
        self.face = vtkPolyData()
        self.actor.VisibilityOff()
        self.outline.VisibilityOff()
