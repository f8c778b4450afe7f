"""Pictures of named solids, square on and to scale, for a work sheet or to know a file by."""

import io
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import CORE
from holdwright.pipeline.views.display_results import Surface, surface_of
from holdwright.render.colour_scale import colour_table
from holdwright.render.contour import CutPlane
from holdwright.render.drawn_mesh import LitMesh, SectionCap, SurfaceLines
from holdwright.render.off_screen import Pixels, drawn, open_off_screen
from holdwright.render.surface_mesh import SurfaceMesh, surface_mesh
from holdwright.render.tones import cut_tone, rgb, stone

_EXPOSURE: Final = 2.1
_SAMPLES: Final = 4
_LINES: Final = 400.0
"""Ink is as wide as on a screen of so many pixels."""
_WIDEST: Final = 2.4
_FLAT: Final = 0.9999

VIEWS: Final[dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]]] = {
    "front": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "side": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "back": ((0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
    "corner": ((0.52, 0.36, 0.77), (0.0, 1.0, 0.0)),
}
"""From the hold toward the camera, and what is up in the picture; on the wall +y is up, +z off the wall."""


@dataclass(frozen=True, eq=False)
class View:
    """From where a picture is taken, and what of the hold it shows."""

    name: str
    """One of `VIEWS`."""
    section: CutPlane | None = None
    """What lies on the side of its normal is left out."""

    def __post_init__(self) -> None:
        """Refuse a view there is not."""
        if self.name not in VIEWS:
            raise ParameterError(f"A picture from '{self.name}' was asked for; there are {', '.join(VIEWS)}.")

    @property
    def frame(self) -> Floats:
        """(3, 3): rows right, up and toward the camera, unit vectors."""
        toward, up = map(np.array, VIEWS[self.name])
        toward = toward / np.linalg.norm(toward)
        right = np.cross(up, toward)
        right /= np.linalg.norm(right)
        return np.array([right, np.cross(toward, right), toward])


class Pictures:
    """Named solids that can be drawn from several sides; they are made ready once.

    Parameters
    ----------
    parts
        By name, in mm in the hold's frame; the core is drawn in teal, all else in limestone.
    values
        For some of them, by name, (n,) values at their vertices, to be drawn in colours from less to more.
    reach
        Value at the end of that scale.
    """

    def __init__(
        self,
        parts: Mapping[str, Solid],
        values: Mapping[str, NDArray[np.float32]] | None = None,
        reach: float = 1.0,
    ) -> None:
        if not parts:
            raise ParameterError("A picture was asked for, but there is no solid to draw.")
        self._surfaces: dict[str, tuple[Surface, SurfaceMesh]] = {}
        for name, solid in parts.items():
            surface = surface_of(solid)
            mesh = surface_mesh(surface)
            # A flat back has no hollows: the few triangles it is made of would only smear those beside it.
            flat = mesh.normals[:, 2] < -_FLAT
            self._surfaces[name] = surface, replace(mesh, hollow=np.where(flat, np.float32(0.0), mesh.hollow))
        self._values, self._reach = values or {}, reach
        self._corners = np.concatenate([solid.vertices for solid in parts.values()])

    @property
    def names(self) -> tuple[str, ...]:
        """Of what is drawn."""
        return tuple(self._surfaces)

    def extent(self, view: View) -> Floats:
        """Give what a view shows as (2, 2): least and greatest in mm to the right and up in the picture."""
        seen = self._corners @ view.frame[:2].T
        return np.array([seen.min(axis=0), seen.max(axis=0)])

    def drawn(self, view: View, size: tuple[int, int], scale: float, ground: str = "#FFFFFF") -> Pixels:
        """Draw a view, what it shows in the middle.

        Parameters
        ----------
        size
            Width and height in pixels.
        scale
            Pixels to a mm.

        Returns
        -------
        (height, width, 3) uint8.

        Raises
        ------
        ExportError
            When the machine has no OpenGL.
        """
        renderer = vtkRenderer()
        renderer.SetBackground(*rgb(ground))
        light = vtkLight()
        light.SetLightTypeToHeadlight()
        renderer.AddLight(light)
        self._aim(renderer, view, size[1] / scale / 2.0)
        pen = min(max(max(size) / _LINES, 1.0), _WIDEST)
        for name, (surface, mesh) in self._surfaces.items():
            self._add(renderer, name, surface, mesh, view, pen)
        window = open_off_screen(renderer, size, _SAMPLES)
        try:
            return drawn(window)
        finally:
            window.Finalize()

    def _aim(self, renderer: vtkRenderer, view: View, half_height: float) -> None:
        frame, seen = view.frame, self._corners @ view.frame.T
        low, high = seen.min(axis=0), seen.max(axis=0)
        middle = (low + high) / 2.0 @ frame
        reach = float(np.linalg.norm(high - low)) + 1.0
        camera = renderer.GetActiveCamera()
        camera.SetFocalPoint(*middle)
        camera.SetPosition(*(middle + 2.0 * reach * frame[2]))
        camera.SetViewUp(*frame[1])
        camera.SetParallelProjection(1)
        camera.SetParallelScale(half_height)
        camera.SetClippingRange(reach, 3.0 * reach)

    def _add(
        self, renderer: vtkRenderer, name: str, surface: Surface, mesh: SurfaceMesh, view: View, pen: float
    ) -> None:
        colour = stone(name)
        body, lines = LitMesh(mesh), SurfaceLines(1.3, pen)
        body.paint(_EXPOSURE, pen, colour)
        if name in self._values:
            scale = colour_table(-self._reach, self._reach, signed=True)
            body.show_values(self._values[name][mesh.vertex].astype(np.float32), scale)
        lines.draw(mesh.points, mesh.lines)
        lines.show(True)
        for part in (body, lines):
            part.clip(view.section)
            renderer.AddActor(part.actor)
        if view.section is not None:
            cap = SectionCap(-1.0 if name == CORE else 1.0, pen, cut_tone(colour))
            cap.cut(surface, view.section, np.zeros(3))
            renderer.AddActor(cap.actor)
            renderer.AddActor(cap.outline.actor)


def png_of(pixels: Pixels) -> bytes:
    """Give a (height, width, 3) picture as a PNG file's bytes."""
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, format="PNG", compress_level=6)
    return stream.getvalue()


def picture_of(
    parts: Mapping[str, Solid], view: str = "corner", size: tuple[int, int] = (256, 256), room: float = 1.08
) -> bytes:
    """Draw named solids so that they fill a picture, and give a PNG file's bytes.

    Parameters
    ----------
    parts, view, size
        As of `Pictures`, `View` and `Pictures.drawn`.
    room
        How much larger the picture is than what it shows.

    Raises
    ------
    ParameterError
        When there is no such view, or nothing to draw.
    ExportError
        When the machine has no OpenGL; its sentence says what to install.
    """
    pictures, seen = Pictures(parts), View(view)
    extent = np.maximum(np.ptp(pictures.extent(seen), axis=0), 1e-6)
    return png_of(pictures.drawn(seen, size, float(np.min(np.array(size) / extent)) / room))
