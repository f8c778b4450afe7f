"""What tools draw over the hold: named ghosts that come and go without touching the hold itself."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PySide6.QtCore import QRectF
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkRenderingCore import vtkRenderer

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.view_camera import Lens
from holdwright.render.contour import CutPlane
from holdwright.render.drawn_mesh import DrawnMesh
from holdwright.render.polydata import dots_of, lines_of, mesh_of

MOST_DOTS: Final = 50
"""Of so many dots of a name labels keep clear."""


@dataclass(frozen=True)
class Label:
    """A figure or a few words on paper, tied to a place."""

    place: tuple[float, ...]
    """mm."""
    text: str
    shift: tuple[float, float] = (0.0, 0.0)
    """Pixels to the right and down from the place to the middle of the words."""


class Overlay:
    """Ghosts by name; a name may carry one of each kind.

    Parameters
    ----------
    changed
        Called after each change: True where the scene has to be drawn anew, False where words alone changed.
    pixel
        Device pixels to a device-independent one.
    """

    def __init__(self, renderer: vtkRenderer, changed: Callable[[bool], None], pixel: float) -> None:
        self._renderer = renderer
        self._changed = changed
        self.pixel = pixel
        self.labels: dict[str, Label] = {}
        self._ghosts: dict[tuple[str, str], _Ghost] = {}

    @property
    def points(self) -> Floats:
        """(n, 3) all points of lines and dots: what stands round the hold to be worked with."""
        drawn = [key for key in self._ghosts if key[1] != "mesh"]
        arrays = [array.reshape(-1, 3) for key in drawn for array in self._ghosts[key].arrays]
        return np.concatenate(arrays) if arrays else np.zeros((0, 3))

    def dots(self, lens: Lens) -> list[QRectF]:
        """Give where round dots, which are there to be taken, are on screen; of many some."""
        shown = []
        for (_, kind), ghost in self._ghosts.items():
            if kind == "points" and not ghost.square:
                half = ghost.size / 2
                seen = lens.project(ghost.arrays[0][:MOST_DOTS])
                shown += [QRectF(x - half, y - half, ghost.size, ghost.size) for x, y, far in seen if far > 0]
        return shown

    @property
    def names(self) -> frozenset[str]:
        """All names in use."""
        return frozenset({name for name, _ in self._ghosts} | self.labels.keys())

    def set_mesh(
        self,
        name: str,
        points: ArrayLike,
        faces: ArrayLike,
        colour: str,
        opacity: float = 1.0,
        *,
        without: CutPlane | None = None,
    ) -> None:
        """Draw a mesh: (n, 3) points in mm and (m, 3) triangles, in ``#RRGGBB``.

        Parameters
        ----------
        without
            Leaves out what lies on the side of its normal.
        """
        corners, triangles = np.array(points, dtype=np.float64), np.array(faces)
        side = None if without is None else (*without.origin.tolist(), *without.normal.tolist())
        if ghost := self._renewed(name, "mesh", (corners, triangles), (colour, opacity, side)):
            ghost.show(mesh_of(corners, triangles), colour, opacity)
            ghost.clip(without)

    def set_lines(
        self, name: str, points: ArrayLike, colour: str, width: float = 1.5, *, over: bool = False
    ) -> None:
        """Draw lines.

        Parameters
        ----------
        points
            (n, 3) of one polyline, or (k, n, 3) of several, mm.
        width
            In device-independent pixels.
        over
            Draw them before everything; otherwise the hold hides what lies behind it.
        """
        several = np.array(points, dtype=np.float64)
        several = several[None] if several.ndim == 2 else several
        if ghost := self._renewed(name, "lines", (several,), (colour, width, over, self.pixel)):
            numbers = np.arange(several.shape[0] * several.shape[1]).reshape(several.shape[:2])
            ghost.show(lines_of(several.reshape(-1, 3), numbers), colour)
            ghost.set_pen(width * self.pixel, over)

    def set_points(
        self,
        name: str,
        points: ArrayLike,
        colour: str,
        size: float = 8.0,
        *,
        over: bool = True,
        square: bool = False,
    ) -> None:
        """Draw (n, 3) points as round dots or squares, `size` device-independent pixels across."""
        places = np.array(points, dtype=np.float64).reshape(-1, 3)
        if ghost := self._renewed(name, "points", (places,), (colour, size, over, square, self.pixel)):
            ghost.show(dots_of(places), colour)
            ghost.actor.GetProperty().SetRenderPointsAsSpheres(not square)
            ghost.size, ghost.square = size, square
            ghost.set_pen(size * self.pixel, over)

    def set_label(
        self, name: str, place: ArrayLike, text: str, shift: tuple[float, float] = (0.0, 0.0)
    ) -> None:
        """Write words on paper at a (3,) place."""
        label = Label(tuple(np.asarray(place, dtype=np.float64).tolist()), text, shift)
        if self.labels.get(name) != label:
            self.labels[name] = label
            self._changed(False)

    def remove(self, name: str) -> None:
        """Take away all of a name; nothing happens where there is none."""
        mine = [key for key in self._ghosts if key[0] == name]
        for key in mine:
            self._renderer.RemoveActor(self._ghosts.pop(key).actor)
        if self.labels.pop(name, None) is not None or mine:
            self._changed(bool(mine))

    def veil(self, *, hidden: bool) -> None:
        """Leave all ghosts out of the frames to come, or draw them again."""
        for ghost in self._ghosts.values():
            ghost.actor.SetVisibility(not hidden)

    def clear(self) -> None:
        """Take everything away."""
        for name in self.names:
            self.remove(name)

    def _renewed(
        self, name: str, kind: str, arrays: tuple[NDArray[Any], ...], look: tuple[object, ...]
    ) -> "_Ghost | None":
        """Give the ghost to draw; None where it shows just this: tools draw all anew, and frames cost."""
        ghost = self._ghosts.get((name, kind))
        if ghost is None:
            ghost = self._ghosts[name, kind] = _Ghost(lit=True)
            self._renderer.AddActor(ghost.actor)
        elif ghost.look == look and all(map(np.array_equal, ghost.arrays, arrays)):
            return None
        ghost.arrays, ghost.look = arrays, look
        self._changed(True)
        return ghost


class _Ghost(DrawnMesh):
    """One actor of the overlay, with what it was last drawn from."""

    arrays: tuple[NDArray[Any], ...] = ()
    look: tuple[object, ...] = ()
    size = 0.0
    square = False

    def show(self, mesh: vtkPolyData, colour: str, opacity: float = 1.0) -> None:
        self.mapper.SetInputData(mesh)
        self.set_colour(colour)
        look = self.actor.GetProperty()
        look.SetOpacity(opacity)
        # Just before the surface it lies on: neither may shine through the other in spots.
        self.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self.mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(-1.0, -4.0)
        look.SetAmbient(0.55)
        look.SetDiffuse(0.5)
        look.SetSpecular(0.0)

    def set_pen(self, width: float, over: bool) -> None:
        """Draw lines or dots so many device pixels wide, before everything or where nothing hides them."""
        look = self.actor.GetProperty()
        look.LightingOff()
        look.SetLineWidth(width)
        look.SetPointSize(width)
        # Shift toward the camera, in depth steps: before everything, or just before what they lie on.
        offset = -66_000.0 if over else -4.0
        self.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0 if over else -1.0, offset)
        self.mapper.SetRelativeCoincidentTopologyPointOffsetParameter(offset)
