"""The face where a solid is cut open, in its own lighter tone, hatched and outlined in ink."""

from typing import Final

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkCleanPolyData, vtkPlaneCutter
from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.sculpt import Floats
from holdwright.gui.viewport.look import INK, rgb
from holdwright.gui.viewport.picking import Plane
from holdwright.gui.viewport.polydata import points_in, triangles_in
from holdwright.gui.viewport.shading import shade_cut

OUTLINE_PEN: Final = 2.0


def vtk_plane(plane: Plane) -> vtkPlane:
    """Give a plane as the drawing library's, turned round: what that one keeps lies on its normal's side."""
    made = vtkPlane()
    made.SetOrigin(*plane.origin)
    made.SetNormal(*(-plane.normal))
    return made


def outline_of(mesh: vtkPolyData, plane: Plane) -> vtkPolyData:
    """Give the lines along which a plane meets a mesh."""
    cutter = vtkPlaneCutter()
    cutter.SetInputData(mesh)
    cutter.SetPlane(vtk_plane(plane))
    cutter.ComputeNormalsOff()
    cutter.InterpolateAttributesOff()
    clean = vtkCleanPolyData()
    clean.SetInputConnection(cutter.GetOutputPort())
    clean.ToleranceIsAbsoluteOn()
    clean.SetAbsoluteTolerance(1e-5)
    clean.Update()
    made: vtkPolyData = clean.GetOutput()
    return made


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

    def cut(self, mesh: vtkPolyData, plane: Plane, lift: Floats) -> None:
        """Cut a mesh, drawn `lift` away from where it lies, along a plane."""
        outline = outline_of(mesh, plane.moved(-lift))
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
