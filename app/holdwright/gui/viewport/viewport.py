"""The hold on screen: what is shown of it, and how."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike
from PySide6.QtGui import QPixmap

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.canvas import Canvas
from holdwright.gui.viewport.colour_map import ColourMap
from holdwright.gui.viewport.drawing_style import look
from holdwright.gui.viewport.projection import MARGIN
from holdwright.gui.viewport.thumbnail import thumbnail_of
from holdwright.gui.viewport.view_camera import VIEWS, clear_view
from holdwright.gui.widgets import style
from holdwright.hold.finding import Finding
from holdwright.pipeline.views.display_results import ShownSculpt, ShownSolid
from holdwright.render.contour import CutPlane

_HIDDEN: Final[Mapping[str, tuple[str, ...]]] = {"both": (), "shell": ("core",), "core": ("shell",)}


SHRUNK: Final = 0.6
"""A hold smaller than this share of what it was is looked at from nearer."""


class Viewport(Canvas):
    """Shows solids or a raw sculpt; all places in mm, in the frame of what is shown."""

    def show_solids(
        self,
        solids: Mapping[str, ShownSolid],
        *,
        keep_camera: bool = True,
        view: str = "",
        sized: bool = True,
    ) -> None:
        """Show these solids in place of what was shown.

        Parameters
        ----------
        keep_camera
            Whether the view stays as it is, or is fitted anew.
        view
            From where to look when it does not stay, as in `set_view`; blank for where it is looked from now.
        sized
            Whether lengths are true millimetres: else none are written.
        """
        self._surface_worker.forget()
        all_seen, size = self._projection.sees_all, self._projection.size
        if keep_camera:
            self._fade()
        self.scene.put({name: (solid.surface, solid.light) for name, solid in solids.items()}, sized=sized)
        # Not in a drag, which the hold would be torn away from.
        fits = self._projection.sees_all and self._projection.size > SHRUNK * size
        if keep_camera and all_seen and not fits and self._no_button_held:
            keep_camera, view = False, ""
        self._shown(keep_camera, view)

    def show_sculpt(self, sculpt: ShownSculpt, view: str = "", faint: Collection[str] = ()) -> None:
        """Show the pieces of a raw sculpt, each in a slightly different colour.

        Parameters
        ----------
        view
            From where to look, as in `set_view`; blank to keep the view as it is.
        faint
            Names of pieces that are drawn faintly.
        """
        self._surface_worker.forget()
        pieces = {name: (surface, None) for name, surface in sculpt.pieces}
        self.scene.put(pieces, raw=True, sized=False, faint=faint)
        self._shown(keep_camera=not view, view=view)

    def clear(self) -> None:
        """Show nothing."""
        self._surface_worker.forget()
        self._flags.plant(())
        self.overlay.clear()
        self.scene.clear()
        self.redraw()

    def set_parts(self, parts: Literal["both", "shell", "core"]) -> None:
        """Show shell and core, or one of them; a whole hold is always shown."""
        self.scene.hide(_HIDDEN[parts])
        self.redraw()

    def set_apart(self, share: float) -> None:
        """Lift the shell off the core: 0 in place, 1 clear of it."""
        self.scene.move_apart(min(max(share, 0.0), 1.0))
        self._refresh_tools()
        self.redraw(moving=True)

    def set_section(self, origin: ArrayLike, normal: ArrayLike) -> None:
        """Cut everything along a plane; what lies on the side of its normal is taken away."""
        direction = np.asarray(normal, dtype=np.float64)
        unit = direction / max(float(np.linalg.norm(direction)), 1e-12)
        self._cut_open(CutPlane(np.asarray(origin, dtype=np.float64), unit))

    def clear_section(self) -> None:
        """Show everything whole again."""
        self._cut_open(None)

    def set_colour_map(
        self,
        values: ArrayLike,
        low: float,
        high: float,
        limit: float | None,
        title: str,
        unit: str = "mm",
        *,
        signed: bool = False,
    ) -> None:
        """Colour the part whose vertices the values belong to, one each ("whole", else "shell")."""
        array = np.asarray(values, dtype=np.float32)
        self.scene.set_colour_map(
            ColourMap(array, low, high if high > low else low + 1e-6, limit, title, unit, signed).rounded()
        )
        self.redraw()

    def clear_colour_map(self) -> None:
        """Show stone again."""
        self.scene.set_colour_map(None)
        self.redraw()

    def focus_on(self, place: Floats | tuple[float, float, float], beside: Floats | None = None) -> None:
        """Turn the view so that a place is seen, at the middle and from outside, or through the hold.

        Parameters
        ----------
        beside
            (n, 3) points of what lies beside the hold there: all of it is shown, and not before the hold.
        """
        self.seen_through = False
        if beside is not None:
            shown = self.scene.points
            azimuth, elevation = VIEWS[clear_view(beside.mean(axis=0) - shown.mean(axis=0))]
            pose = replace(self.pose, azimuth=azimuth, elevation=elevation)
            self._move_to(pose.fitted(np.concatenate([shown, beside]), self.lens.size, MARGIN))
            return
        spot = self.scene.shown_at(np.array(place, dtype=np.float64)[None])[0]
        pose = self._projection.focused(spot)
        self.seen_through = self._projection.hides(spot, pose)
        self._move_to(pose)

    @property
    def seen_through(self) -> bool:
        """Whether places in the hold show through it."""
        return self.scene.seen_through

    @seen_through.setter
    def seen_through(self, on: bool) -> None:
        if on != self.scene.seen_through:
            self.scene.see_through(on)
            self.redraw()

    @property
    def thumbnail(self) -> QPixmap | None:
        """A small picture of what is shown, drawn now without handles; None of nothing, or without OpenGL."""
        if self.lacks_opengl or not self.scene.visible:
            return None
        before, size = self.pose, self.lens.size
        azimuth, elevation = VIEWS["three_quarter"]
        pose = replace(before, azimuth=azimuth, elevation=elevation)
        self._projection.pose = self._projection.fitted(pose, figures=False)
        self._budget.note_motion()  # a quick frame will do
        self.overlay.veil(hidden=True)
        try:
            return thumbnail_of(self._pane.picture(), self.lens.project(self.scene.points)[:, :2], size)
        finally:
            self._projection.pose = before
            self.overlay.veil(hidden=False)
            self.redraw(moving=True)

    def show_markers(self, markers: Sequence[Finding], told: int = -1) -> None:
        """Mark findings, all with a place in the frame of what is shown, instead of those before.

        Parameters
        ----------
        told
            Number of the one whose sentence is shown without the pointer on it; -1 for none.
        """
        self._flags.plant(markers, told)
        self._label_layer.update()

    def set_scheme(self, scheme: style.Scheme) -> None:
        """Draw by day or by night."""
        self.scene.set_style(look(scheme, self._pane.pixel))
        self._refresh_tools()
        self.scheme_changed.emit()
        self.redraw()

    @property
    def wall_shown(self) -> bool:
        """Whether the wall's grid is drawn."""
        return self.scene.wall.grid_shown

    @wall_shown.setter
    def wall_shown(self, shown: bool) -> None:
        self.scene.wall.grid_shown = shown
        self.redraw()

    @property
    def section(self) -> tuple[Floats, Floats] | None:
        """Origin and unit normal of the section, or None."""
        plane = self.scene.section
        return (plane.origin, plane.normal) if plane else None

    def _cut_open(self, plane: CutPlane | None) -> None:
        self.scene.cut_open(plane)
        self._refresh_tools()
        self.redraw(moving=plane is not None)

    def _shown(self, keep_camera: bool, view: str) -> None:
        if not keep_camera and view:
            self.set_view(view)
        elif not keep_camera:
            self.fit()
        self._refresh_tools()
        self._show_handles()
        self.redraw(moving=True)
