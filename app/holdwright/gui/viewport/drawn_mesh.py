"""Meshes as the scene draws them: an actor each, for a surface, for lines on it, for the face of a cut."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.viewport.colour_map import ColourMap, table
from holdwright.gui.viewport.contour import cap_of, outline_of
from holdwright.gui.viewport.drawing_style import INK, DrawingStyle, rgb
from holdwright.gui.viewport.picking import CutPlane
from holdwright.gui.viewport.polydata import HOLLOW, VALUES, lines_of, mesh_of, put, put_normals
from holdwright.gui.viewport.shading import set_uniform, shade, shade_cut
from holdwright.gui.viewport.surface_mesh import SurfaceMesh
from holdwright.pipeline.display_results import Surface

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
    """

    def __init__(self, width: float, look: DrawingStyle, colour: str = INK) -> None:
        super().__init__()
        self._width = width
        self._filled = False
        self.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self.set_colour(colour)
        self.paint(look)
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

    def paint(self, look: DrawingStyle) -> None:
        """Keep the width on a screen of another density."""
        self.actor.GetProperty().SetLineWidth(self._width * look.pixel)


class DetailLevel(DrawnMesh):
    """A surface in one degree of detail."""

    def __init__(self, surface: SurfaceMesh) -> None:
        super().__init__(lit=True)
        self.mapper.InterpolateScalarsBeforeMappingOn()
        shade(self.actor, self.mapper)
        self.set_surface(surface)

    def set_surface(self, surface: SurfaceMesh) -> None:
        """Draw another mesh from now on."""
        self._surface = surface
        self._mesh = mesh_of(surface.points, surface.triangles)
        put_normals(self._mesh, surface.normals)
        put(self._mesh, HOLLOW, surface.hollow)
        self.mapper.SetInputData(self._mesh)

    def paint(self, look: DrawingStyle, colour: str) -> None:
        """Draw it in a colour, in the light of a style."""
        self.set_colour(colour)
        set_uniform(self.actor, exposure=look.exposure, pen=look.pixel)

    def set_colour_map(self, heat: ColourMap | None, whole: NDArray[np.float32] | None) -> None:
        """Colour it by values, or draw it in its own colour again.

        Parameters
        ----------
        heat
            With a value for each vertex of the solid's whole surface.
        whole
            The (n, 3) vertices of that surface where this level is a coarser one.
        """
        # Light changes colours less where it is the colours that are to be read.
        set_uniform(self.actor, plain=float(heat is not None))
        self.mapper.SetScalarVisibility(heat is not None)
        if heat is not None:
            nearest = self._surface.vertex if whole is None else cKDTree(whole).query(self._surface.points)[1]
            put(self._mesh, VALUES, heat.values[nearest].astype(np.float32))
            self._mesh.GetPointData().SetActiveScalars(VALUES)
            self.mapper.SetLookupTable(table(heat))
            self.mapper.SetUseLookupTableScalarRange(True)
            self.mapper.SetScalarModeToUsePointData()


class SectionCap(DrawnMesh):
    """The face where a solid is cut open, in its own lighter tone, hatched and outlined in ink.

    Parameters
    ----------
    slant
        Which way it is hatched, 1 or -1.
    """

    def __init__(self, slant: float, look: DrawingStyle, colour: str) -> None:
        super().__init__(lit=True)
        shade_cut(self.actor, slant)
        self.outline = SurfaceLines(2.0, look)
        self.paint(look, colour)
        self.hide()

    def paint(self, look: DrawingStyle, colour: str) -> None:
        """Draw it in another tone."""
        self.set_colour(colour)
        set_uniform(self.actor, pen=look.pixel)
        self.outline.paint(look)

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
