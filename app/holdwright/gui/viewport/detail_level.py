"""A solid's surface in one degree of detail, as the scene draws it."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.drawing_style import rgb
from holdwright.gui.viewport.polydata import HOLLOW, VALUES, mesh_of, put, put_normals
from holdwright.gui.viewport.shading import set_light, set_plain, shade
from holdwright.gui.viewport.surface_mesh import SurfaceMesh


class DetailLevel:
    """One degree of detail.

    Parameters
    ----------
    exposure
        As of a look.
    pixel
        Device pixels to a device-independent one.
    """

    def __init__(self, skin: SurfaceMesh, exposure: float, pixel: float) -> None:
        self.skin = skin
        self.mesh = vtkPolyData()
        self._mapper = vtkPolyDataMapper()
        self._mapper.ScalarVisibilityOff()
        self._mapper.InterpolateScalarsBeforeMappingOn()
        self.actor = vtkActor()
        self.actor.SetMapper(self._mapper)
        shade(self.actor, self._mapper, exposure, pixel)
        self.set_style(skin)

    def set_style(self, skin: SurfaceMesh) -> None:
        """Draw another skin from now on."""
        self.skin = skin
        self.mesh = mesh_of(skin.points, skin.triangles)
        put_normals(self.mesh, skin.normals)
        put(self.mesh, HOLLOW, skin.hollow)
        self._mapper.SetInputData(self.mesh)

    def show(self, visible: bool) -> None:
        """Draw it or not."""
        self.actor.SetVisibility(visible)

    def light(self, colour: str, exposure: float, pixel: float) -> None:
        """Draw it in a colour, under a look's exposure."""
        self.actor.GetProperty().SetColor(*rgb(colour))
        set_light(self.actor, exposure, pixel)

    def place(self, lift: Floats) -> None:
        """Draw it away from where it lies."""
        self.actor.SetPosition(*lift)

    def clip(self, plane: vtkPlane | None) -> None:
        """Leave out what lies behind a plane, or draw all again."""
        self._mapper.RemoveAllClippingPlanes()
        if plane is not None:
            self._mapper.AddClippingPlane(plane)

    def cool(self) -> None:
        """Draw it in its own colour."""
        set_plain(self.actor, False)
        self._mapper.ScalarVisibilityOff()

    def set_colour_map(
        self, values: NDArray[np.float32], table: vtkLookupTable, whole: NDArray[np.float32] | None = None
    ) -> None:
        """Colour it by values.

        Parameters
        ----------
        values
            One for each vertex of the solid's whole surface.
        whole
            The (n, 3) vertices of that surface where this level is a coarser one.
        """
        nearest = self.skin.vertex if whole is None else cKDTree(whole).query(self.skin.points)[1]
        put(self.mesh, VALUES, values[nearest].astype(np.float32))
        self.mesh.GetPointData().SetActiveScalars(VALUES)
        set_plain(self.actor, True)
        self._mapper.SetLookupTable(table)
        self._mapper.SetUseLookupTableScalarRange(True)
        self._mapper.SetScalarModeToUsePointData()
        self._mapper.ScalarVisibilityOn()
