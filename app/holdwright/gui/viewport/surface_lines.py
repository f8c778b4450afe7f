"""Lines drawn on a surface: its sharp edges, the rim of a cut, where a value meets its limit."""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.viewport.drawing_style import INK, rgb
from holdwright.gui.viewport.polydata import lines_of

_CLOSE: Final = -3.0
_LOOSE: Final = -120.0
"""Steps toward the eye: just before the surface they belong to, and before a coarser likeness of it."""


class SurfaceLines:
    """Lines that stay the same whether the surface beneath is drawn fully or coarsely.

    Parameters
    ----------
    width
        In device-independent pixels.
    pixel
        Device pixels to a device-independent one.
    """

    def __init__(self, width: float, pixel: float, colour: str = INK) -> None:
        self._width = width
        self._filled = False
        self._mapper = vtkPolyDataMapper()
        self._mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self.actor = vtkActor()
        self.actor.SetMapper(self._mapper)
        self.actor.GetProperty().SetColor(*rgb(colour))
        self.actor.GetProperty().LightingOff()
        self.rescale(pixel)
        self.erase()

    def draw(self, points: NDArray[np.floating], lines: Indices) -> None:
        """Draw (k, 2) segments between (n, 3) points in mm, in place of those before."""
        self._filled = len(lines) > 0
        self._mapper.SetInputData(lines_of(points, lines))

    def erase(self) -> None:
        """Draw nothing."""
        self._filled = False
        self._mapper.SetInputData(vtkPolyData())
        self.actor.VisibilityOff()

    def show(self, visible: bool, *, coarse: bool = False) -> None:
        """Draw them or not, over the whole surface or a coarse likeness."""
        self.actor.SetVisibility(visible and self._filled)
        offset = _LOOSE if coarse else _CLOSE
        self._mapper.SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, offset)

    def place(self, lift: Floats) -> None:
        """Draw them away from where they lie."""
        self.actor.SetPosition(*lift)

    def clip(self, plane: vtkPlane | None) -> None:
        """Leave out what lies behind a plane, or draw all again."""
        self._mapper.RemoveAllClippingPlanes()
        if plane is not None:
            self._mapper.AddClippingPlane(plane)

    def rescale(self, pixel: float) -> None:
        """Keep the width on a screen of another density."""
        self.actor.GetProperty().SetLineWidth(self._width * pixel)
