"""The face where a solid is cut open, in its own lighter tone, hatched and outlined in ink."""

from typing import Final

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.viewport.contour import contour
from holdwright.gui.viewport.drawing_style import rgb
from holdwright.gui.viewport.picking import CutPlane
from holdwright.gui.viewport.polydata import lines_of, points_in, triangles_in
from holdwright.gui.viewport.shading import set_pen, shade_cut
from holdwright.gui.viewport.surface_lines import SurfaceLines
from holdwright.pipeline.display_results import Surface

OUTLINE: Final = 2.0


def vtk_plane(plane: CutPlane) -> vtkPlane:
    """Give a plane as the drawing library's, turned round: what that one keeps lies on its normal's side."""
    made = vtkPlane()
    made.SetOrigin(*plane.origin)
    made.SetNormal(*(-plane.normal))
    return made


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


def area_of(cap: vtkPolyData) -> float:
    """Give a cap's area in mm2."""
    corners = points_in(cap)[triangles_in(cap)]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(cross, axis=1).sum() / 2)


class SectionCap:
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
        self.outline = SurfaceLines(OUTLINE, pixel)
        self.paint(colour)
        self.hide()

    def paint(self, colour: str) -> None:
        """Draw it in another tone."""
        self.actor.GetProperty().SetColor(*rgb(colour))

    def cut(self, surface: Surface, plane: CutPlane, lift: Floats) -> None:
        """Cut a surface, drawn `lift` away from where it lies, along a plane."""
        points, lines = outline_of(surface, plane.moved(-lift))
        self.face = cap_of(points, lines)
        self._mapper.SetInputData(self.face)
        self.actor.SetPosition(*lift)
        self.actor.SetVisibility(self.face.GetNumberOfCells() > 0)
        self.outline.draw(points, lines)
        self.outline.place(lift)
        self.outline.show(True)

    def hide(self) -> None:
        """Draw no cut face."""
        self.face = vtkPolyData()
        self.actor.VisibilityOff()
        self.outline.erase()

    def rescale(self, pixel: float) -> None:
        """Keep lines and hatching as they are on a screen of another density."""
        set_pen(self.actor, pixel)
        self.outline.rescale(pixel)
