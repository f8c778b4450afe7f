"""A part's sharp edges as lines of ink."""

from typing import Final

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.geometry.sculpt import Floats
from holdwright.gui.viewport.look import INK, rgb
from holdwright.gui.viewport.polydata import lines_of
from holdwright.gui.viewport.skin import Skin

PEN: Final = 1.3
"""Width in device-independent pixels."""

_CLOSE: Final = -3.0
_LOOSE: Final = -120.0
"""Steps toward the eye: just before the surface they belong to, and before a coarser likeness of it."""


class Edges:
    """Lines of ink, kept the same whether the surface beneath is drawn fully or coarsely.

    Parameters
    ----------
    pixel
        Device pixels to a device-independent one.
    """

    def __init__(self, pixel: float) -> None:
        self._mapper = vtkPolyDataMapper()
        self._mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self._filled = False
        self.actor = vtkActor()
        self.actor.SetMapper(self._mapper)
        ink = self.actor.GetProperty()
        ink.SetColor(*rgb(INK))
        ink.LightingOff()
        ink.SetLineWidth(PEN * pixel)
        self.wear(None)

    def wear(self, skin: Skin | None) -> None:
        """Draw a skin's edges."""
        self._filled = skin is not None and len(skin.lines) > 0
        points = skin.points if skin is not None else np.zeros((0, 3))
        lines = skin.lines if skin is not None else np.zeros((0, 2), dtype=np.int64)
        self._mapper.SetInputData(lines_of(points, lines))

    def show(self, visible: bool, *, coarse: bool) -> None:
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
