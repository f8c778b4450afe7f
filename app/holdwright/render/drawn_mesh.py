"""Meshes as the scene draws them: an actor each, for a surface, for lines on it, for the face of a cut."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.arrays import Floats, Indices
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import CutPlane, cap_of, outline_of
from holdwright.render.polydata import HOLLOW, VALUES, lines_of, mesh_of, put, put_normals
from holdwright.render.shading import set_uniform, shade, shade_cut
from holdwright.render.surface_mesh import SurfaceMesh
from holdwright.render.tones import INK, rgb

_CLOSE, _LOOSE = -3.0, -120.0
"""Steps toward the camera: just before the surface lines belong to, and before a coarser version of it."""


class DrawnMesh:
    """A mesh with the actor that draws it.

    Parameters
    ----------
    scalars
        Whether it is drawn in the colours that its points carry.
    lit
        Whether light falls on it.
    """

    def __init__(self, *, scalars: bool = False, lit: bool = False) -> None:
        self.mapper: Any = vtkPolyDataMapper()  # the library's types lack much of what it can do
        self.mapper.SetScalarVisibility(scalars)
        self.actor = vtkActor()
        self.actor.SetMapper(self.mapper)
        self.actor.GetProperty().SetLighting(lit)

    def set_colour(self, colour: str) -> None:
        """Draw it in ``#RRGGBB``."""
        self.actor.GetProperty().SetColor(*rgb(colour))

    def set_opacity(self, opacity: float) -> None:
        """Draw it translucent below 1."""
        self.actor.GetProperty().SetOpacity(opacity)
        self.actor.GetProperty().SetBackfaceCulling(opacity < 1.0)

    def place(self, lift: Floats) -> None:
        """Draw it (3,) mm away from where it lies."""
        self.actor.SetPosition(*lift)

    def clip(self, section: CutPlane | None) -> None:
        """Leave out what lies on the side of the section's normal, or draw all again."""
        self.mapper.RemoveAllClippingPlanes()
        if section is not None:
            plane = vtkPlane()  # the library draws what lies on its normal's side
            plane.SetOrigin(*section.origin)
            plane.SetNormal(*(-section.normal))
            self.mapper.AddClippingPlane(plane)


class SurfaceLines(DrawnMesh):
    """Lines that stay the same whether the surface beneath is drawn fully or coarsely.

    Parameters
    ----------
    width
        In device-independent pixels.
    pixel
        Device pixels to such a one.
    """

    def __init__(self, width: float, pixel: float, colour: str = INK) -> None:
        super().__init__()
        self._width = width
        self._filled = False
        self.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self.set_colour(colour)
        self.paint(pixel)
        self.erase()

    def draw(self, points: NDArray[np.floating], lines: Indices) -> None:
        """Draw (k, 2) segments between (n, 3) points in mm, in place of those before."""
        self._filled = len(lines) > 0
        self.mapper.SetInputData(lines_of(points, lines))

    def erase(self) -> None:
        """Draw nothing."""
        self._filled = False
        self.mapper.SetInputData(vtkPolyData())
        self.actor.VisibilityOff()

    def show(self, visible: bool, *, coarse: bool = False) -> None:
        """Draw them or not, over the whole surface or a coarse one."""
        self.actor.SetVisibility(visible and self._filled)
        self.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, _LOOSE if coarse else _CLOSE)

    def paint(self, pixel: float) -> None:
        """Keep the width on a screen of another density."""
        self.actor.GetProperty().SetLineWidth(self._width * pixel)


class LitMesh(DrawnMesh):
    """A surface in light and ink."""

    def __init__(self, surface: SurfaceMesh) -> None:
        super().__init__(lit=True)
        self.mapper.InterpolateScalarsBeforeMappingOn()
        shade(self.actor, self.mapper)
        set_uniform(self.actor, plain=0.0)
        self.set_surface(surface)

    def set_surface(self, surface: SurfaceMesh) -> None:
        """Draw another mesh from now on."""
        self._surface = surface
        self._mesh = mesh_of(surface.points, surface.triangles)
        put_normals(self._mesh, surface.normals)
        put(self._mesh, HOLLOW, surface.hollow)
        self.mapper.SetInputData(self._mesh)

    def show_values(self, values: NDArray[np.float32], scale: vtkLookupTable) -> None:
        """Colour it by (n,) values at its points; light changes colours less where they are to be read."""
        set_uniform(self.actor, plain=1.0)
        put(self._mesh, VALUES, values)
        self._mesh.GetPointData().SetActiveScalars(VALUES)
        self.mapper.SetScalarVisibility(True)
        self.mapper.SetLookupTable(scale)
        self.mapper.SetUseLookupTableScalarRange(True)
        self.mapper.SetScalarModeToUsePointData()

    def hide_values(self) -> None:
        """Draw it in its own colour."""
        set_uniform(self.actor, plain=0.0)
        self.mapper.SetScalarVisibility(False)

    def paint(self, exposure: float, pixel: float, colour: str) -> None:
        """Draw it in a colour; light and ink as of `set_uniform`."""
        self.set_colour(colour)
        set_uniform(self.actor, exposure=exposure, pen=pixel)


class SectionCap(DrawnMesh):
    """The face where a solid is cut open, in its own lighter tone, hatched and outlined in ink.

    Parameters
    ----------
    slant
        Which way it is hatched, 1 or -1.
    """

    def __init__(self, slant: float, pixel: float, colour: str) -> None:
        super().__init__(lit=True)
        shade_cut(self.actor, slant)
        self.outline = SurfaceLines(2.0, pixel)
        self.paint(pixel, colour)
        self.hide()

    def paint(self, pixel: float, colour: str) -> None:
        """Draw it in another tone."""
        self.set_colour(colour)
        set_uniform(self.actor, pen=pixel)
        self.outline.paint(pixel)

    def cut(self, surface: Surface, plane: CutPlane, lift: Floats) -> None:
        """Cut a surface, drawn `lift` away from where it lies, along a plane."""
        points, lines = outline_of(surface, plane.moved(-lift))
        self.face = cap_of(points, lines)
        self.mapper.SetInputData(self.face)
        self.actor.SetVisibility(self.face.GetNumberOfCells() > 0)
        self.outline.draw(points, lines)
        self.outline.show(True)
        for drawn in (self, self.outline):
            drawn.place(lift)

    def hide(self) -> None:
        """Draw no cut face."""
        self.face = vtkPolyData()
        self.actor.VisibilityOff()
        self.outline.erase()
