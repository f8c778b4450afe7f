"""What tools draw over the hold: named ghosts that come and go without touching the hold itself."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.drawing_style import rgb
from holdwright.gui.viewport.polydata import dots_of, lines_of, mesh_of

_ALWAYS: Final = -66_000.0
"""Shift toward the eye, in depth steps, that brings lines before everything."""


@dataclass(frozen=True, eq=False)
class Label:
    """A figure or a few words on paper, tied to a place.

    Attributes
    ----------
    shift
        Pixels to the right and down from the place to the middle of the words.
    """

    place: Floats
    text: str
    shift: tuple[float, float] = (0.0, 0.0)


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
        self._ghosts: dict[tuple[str, str], _Ghost] = {}
        self._labels: dict[str, Label] = {}
        self._drawn: dict[tuple[str, str], tuple[tuple[Floats, ...], tuple[object, ...]]] = {}

    @property
    def labels(self) -> Mapping[str, Label]:
        """The labels, by name."""
        return self._labels

    @property
    def names(self) -> frozenset[str]:
        """All names in use."""
        return frozenset({name for name, _ in self._ghosts} | self._labels.keys())

    def set_mesh(
        self, name: str, points: ArrayLike, faces: ArrayLike, colour: str, opacity: float = 1.0
    ) -> None:
        """Draw a mesh: (n, 3) points in mm and (m, 3) triangles, in ``#RRGGBB``."""
        corners, triangles = np.array(points, dtype=np.float64), np.array(faces)
        if self._is_drawn(name, "mesh", (corners, triangles), (colour, opacity)):
            return
        self._ghost(name, "mesh").show(mesh_of(corners, triangles), colour, opacity)
        self._changed(True)

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
        if self._is_drawn(name, "lines", (several,), (colour, width, over, self.pixel)):
            return
        numbers = np.arange(several.shape[0] * several.shape[1]).reshape(several.shape[:2])
        ghost = self._ghost(name, "lines")
        ghost.show(lines_of(several.reshape(-1, 3), numbers), colour, 1.0)
        ghost.pen(width * self.pixel, over)
        self._changed(True)

    def set_points(
        self, name: str, points: ArrayLike, colour: str, size: float = 8.0, *, over: bool = True
    ) -> None:
        """Draw (n, 3) points as round dots, `size` device-independent pixels across."""
        places = np.array(points, dtype=np.float64).reshape(-1, 3)
        if self._is_drawn(name, "points", (places,), (colour, size, over, self.pixel)):
            return
        ghost = self._ghost(name, "points")
        ghost.show(dots_of(places), colour, 1.0)
        ghost.dots(size * self.pixel, over)
        self._changed(True)

    def set_label(
        self, name: str, place: ArrayLike, text: str, shift: tuple[float, float] = (0.0, 0.0)
    ) -> None:
        """Write words on paper at a place."""
        spot = np.array(place, dtype=np.float64)
        if self._is_drawn(name, "label", (spot,), (text, shift)):
            return
        self._labels[name] = Label(spot, text, shift)
        self._changed(False)

    def remove(self, name: str) -> None:
        """Take away all of a name; nothing happens where there is none."""
        mine = [key for key in self._ghosts if key[0] == name]
        for key in mine:
            self._renderer.RemoveActor(self._ghosts.pop(key).actor)
        for known in [known for known in self._drawn if known[0] == name]:
            del self._drawn[known]
        if self._labels.pop(name, None) is not None or mine:
            self._changed(bool(mine))

    def veil(self, *, hidden: bool) -> None:
        """Leave all ghosts out of the frames to come, or draw them again."""
        for ghost in self._ghosts.values():
            ghost.actor.SetVisibility(not hidden)

    def clear(self) -> None:
        """Take everything away."""
        for name in self.names:
            self.remove(name)

    def _is_drawn(self, name: str, kind: str, arrays: tuple[Floats, ...], rest: tuple[object, ...]) -> bool:
        """Tell whether just this is drawn under the name: tools draw all anew, and a frame costs much."""
        before, self._drawn[name, kind] = self._drawn.get((name, kind)), (arrays, rest)
        if before is None or before[1] != rest:
            return False
        return all(np.array_equal(old, new) for old, new in zip(before[0], arrays, strict=True))

    def _ghost(self, name: str, kind: str) -> "_Ghost":
        ghost = self._ghosts.get((name, kind))
        if ghost is None:
            ghost = self._ghosts[name, kind] = _Ghost()
            self._renderer.AddActor(ghost.actor)
        return ghost


class _Ghost:
    """One actor of the overlay."""

    def __init__(self) -> None:
        self._mapper: Any = vtkPolyDataMapper()
        self._mapper.ScalarVisibilityOff()
        self.actor = vtkActor()
        self.actor.SetMapper(self._mapper)
        self.actor.PickableOff()

    def show(self, mesh: vtkPolyData, colour: str, opacity: float) -> None:
        self._mapper.SetInputData(mesh)
        look = self.actor.GetProperty()
        look.SetColor(*rgb(colour))
        look.SetOpacity(opacity)
        look.SetAmbient(0.55)
        look.SetDiffuse(0.5)
        look.SetSpecular(0.0)

    def pen(self, width: float, over: bool) -> None:
        look = self.actor.GetProperty()
        look.LightingOff()
        look.SetLineWidth(width)
        self._raise("Line", over)

    def dots(self, size: float, over: bool) -> None:
        look = self.actor.GetProperty()
        look.LightingOff()
        look.SetPointSize(size)
        look.RenderPointsAsSpheresOn()
        self._raise("Point", over)

    def _raise(self, kind: str, over: bool) -> None:
        self._mapper.SetResolveCoincidentTopologyToPolygonOffset()
        offset = _ALWAYS if over else -4.0
        if kind == "Line":
            self._mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0 if over else -1.0, offset)
        else:
            self._mapper.SetRelativeCoincidentTopologyPointOffsetParameter(offset)
