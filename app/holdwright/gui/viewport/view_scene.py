"""Everything that is drawn in three dimensions: the hold's parts, the wall, what tools put over them."""

from collections.abc import Collection, Iterable, Mapping
from typing import Final

import numpy as np
from vtkmodules.vtkRenderingCore import vtkCamera, vtkRenderer

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.colour_map import ColourMap
from holdwright.gui.viewport.drawing_style import DrawingStyle
from holdwright.gui.viewport.part_actor import PartActor, Setting
from holdwright.gui.viewport.view_camera import VIEW_ANGLE, Pose
from holdwright.gui.viewport.wall import Wall
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import CutPlane
from holdwright.render.tones import rgb

SOON: Final = 40_000
"""Triangles up to which everything is made ready in full at once; more begin plain."""

CORNERS: Final = 6_000
FEWEST: Final = 30
"""Points a view is fitted to: of all parts together about so many at most, of each so many at least."""

SEEN_THROUGH: Final = 0.35
FAINT: Final = 0.12
"""Opacity of a hold in which something is shown, and of a piece that is no part of it."""


class Scene:
    """The actors of one view, and what of them is drawn.

    Parameters
    ----------
    renderer
        Takes the actors; the scene does not own it.

    Attributes
    ----------
    look
        What all is drawn with.
    """

    def __init__(self, renderer: vtkRenderer, look: DrawingStyle) -> None:
        self.renderer = renderer
        self.parts: dict[str, PartActor] = {}
        self.wall = Wall(look)
        self.section: CutPlane | None = None
        self._left_out: CutPlane | None = None
        self.heat: ColourMap | None = None
        self.sized = True
        self.look = look
        self._coarse = False
        self._raw = False
        self._hidden: frozenset[str] = frozenset()
        self.seen_through = False
        self._apart = 0.0
        self._cut_pending = False
        self._shadow_pending = True
        for drawn in (self.wall.shade, self.wall.grid):
            renderer.AddActor(drawn.actor)
        self._paint_ground()

    # What is shown

    def put(
        self,
        surfaces: Mapping[str, tuple[Surface, Surface | None]],
        *,
        raw: bool = False,
        sized: bool = True,
        faint: Collection[str] = (),
    ) -> None:
        """Show these surfaces in place of what was shown.

        Parameters
        ----------
        surfaces
            By name, each with a coarser one for quick drawing where there is one.
        raw
            Whether they are the pieces of a sculpt, not yet a hold.
        sized
            Whether their lengths are true millimetres.
        faint
            Names of those that are drawn faintly.
        """
        for part in self.parts.values():
            part.remove()
        self._raw, self.sized = raw, sized
        filled = {name: pair for name, pair in surfaces.items() if len(pair[0].triangles)}
        count = sum(len(surface.triangles) for surface, _ in filled.values())
        size = _size(surface for surface, _ in filled.values())
        setting = Setting(self.renderer, size, count > SOON, max(CORNERS // max(len(filled), 1), FEWEST))
        self.parts = {name: PartActor(name, *pair, setting, self.look) for name, pair in filled.items()}
        self.seen_through = False
        for name in faint:
            self.parts[name].set_opacity(FAINT)
        self.heat = None
        self._paint_parts()
        self._arrange()

    @property
    def visible(self) -> list[PartActor]:
        """The parts that are drawn."""
        return [part for part in self.parts.values() if part.visible]

    @property
    def points(self) -> Floats:
        """(n, 3) a fair choice of the points shown, where they are shown."""
        solid = [part for part in self.visible if part.opacity > FAINT] or self.visible
        shown = [part.corners + part.lift for part in solid]
        return np.concatenate(shown) if shown else np.zeros((0, 3))

    @property
    def extremes(self) -> Floats | None:
        """(3, 2, 3) least and greatest point drawn along x, y and z; None of no or scattered parts."""
        visible = self.visible
        if not visible or self._apart > 0 or not self.sized:
            return None
        points = np.concatenate([part.extremes.reshape(-1, 3) for part in visible])
        return np.asarray(points[np.stack([points.argmin(axis=0), points.argmax(axis=0)], axis=1)])

    def shown_at(self, places: Floats) -> Floats:
        """Give where (n, 3) places on the parts are drawn: each moves with the part it is nearest to."""
        if not self._apart or not len(places):
            return places
        parts = list(self.parts.values())
        gaps = [np.linalg.norm(part.corners[:, None] - places, axis=2).min(axis=0) for part in parts]
        return np.asarray(places + np.array([part.lift for part in parts])[np.argmin(gaps, axis=0)])

    def see_through(self, on: bool) -> None:
        """Draw the parts translucent, until others are put up, or solid again."""
        self.seen_through = on
        for part in self.parts.values():
            part.set_opacity(SEEN_THROUGH if on else 1.0)

    def hide(self, names: Iterable[str]) -> None:
        """Draw all parts but these; were none left, all."""
        self._hidden = frozenset(names)
        self._arrange()

    def move_apart(self, share: float) -> None:
        """Lift the shell off the core along the wall's normal: 0 in place, 1 clear of it."""
        self._apart = share
        self._arrange()

    def set_style(self, look: DrawingStyle) -> None:
        """Draw all in another style, or on a screen of another density."""
        self.look = look
        self._paint_ground()
        self._paint_parts()
        self.wall.set_style(look)

    # Sections and values

    def cut_open(self, section: CutPlane | None, *, replaced: bool = False) -> None:
        """Take away what lies on the side of a plane's normal, or show all again.

        Parameters
        ----------
        replaced
            Whether something else is drawn there, so that no cut face is; a section goes before that.
        """
        if replaced:
            self._left_out = section
            self._clip()
            return
        self.section = section
        self._clip()
        self._cut_pending = section is not None
        self._shadow_pending = True

    def set_colour_map(self, heat: ColourMap | None) -> None:
        """Colour the part whose vertices the values fit, or show stone again."""
        fits = [
            part for part in self.parts.values() if heat and len(part.surface.vertices) == len(heat.values)
        ]
        self.heat = heat if fits else None
        for part in self.parts.values():
            part.set_colour_map(self.heat if fits and part is fits[0] else None)
        self._paint_parts()

    # Drawing

    def draw(self, *, coarse: bool, hurried: bool = False) -> bool:
        """Make everything ready for a frame, and tell whether any of it is new.

        Parameters
        ----------
        coarse
            Without detail.
        hurried
            Leave a shadow that is out of date for a later frame.
        """
        new = False
        if coarse != self._coarse and self.section is not None:
            self._cut_pending = True
        self._coarse = coarse
        for part in self.parts.values():
            new |= part.draw(coarse=coarse)
        if self._shadow_pending and not (hurried and self.wall.has_shadow):
            self._shadow_pending = False
            self.wall.stand_behind(self._casters())
        if self._cut_pending:
            self._cut_pending = False
            for part in self.parts.values():
                part.cut(coarse=coarse)
        return new

    @property
    def drawn_triangles(self) -> int:
        """How many triangles the last frame took."""
        return self.triangles(coarse=self._coarse)

    def triangles(self, *, coarse: bool) -> int:
        """Give how many triangles a frame takes."""
        return sum(part.triangles(coarse=coarse) for part in self.parts.values())

    def aim(self, pose: Pose) -> None:
        """Look from a pose."""
        camera: vtkCamera = self.renderer.GetActiveCamera()
        camera.SetViewAngle(VIEW_ANGLE)
        camera.SetFocalPoint(*pose.target)
        camera.SetPosition(*pose.position)
        camera.SetViewUp(*pose.frame[1])
        self.wall.face(bool(pose.position[2] > 0))
        self.renderer.ResetCameraClippingRange()

    def clear(self) -> None:
        """Take everything away."""
        self.section, self.heat = None, None
        self.put({})

    def _clip(self) -> None:
        for part in self.parts.values():
            part.clip(self.section)
            if self.section is None and self._left_out is not None:
                part.clip(self._left_out)

    def _arrange(self) -> None:
        """Say of each part whether and where it is drawn."""
        hidden = self._hidden if not self._hidden >= self.parts.keys() else frozenset()
        core = self.parts.get("core")
        # Somewhat further than needed.
        rise = float(np.diff(core.extremes[2, :, 2])[0]) * 1.15 * self._apart if core else 0.0
        for part in self.parts.values():
            part.visible = part.name not in hidden
            part.place(np.array([0.0, 0.0, rise if part.name == "shell" else 0.0]))
        self.cut_open(self.section)

    def _paint_parts(self) -> None:
        for number, part in enumerate(self.parts.values()):
            stone = self.look.clay(number) if self._raw else self.look.stone(part.name)
            part.paint(stone, self.look.cut(part.name), self.look)

    def _paint_ground(self) -> None:
        self.renderer.SetBackground(*rgb(self.look.tones.floor))
        self.renderer.SetBackground2(*rgb(self.look.tones.sky))
        self.renderer.GradientBackgroundOn()

    def _casters(self) -> Floats:
        """Give points dense enough to cast a shadow; a raw sculpt hangs on no wall and casts none."""
        if self._raw:
            return np.zeros((0, 3))
        dense = [part.light.vertices.astype(np.float64) + part.lift for part in self.visible]
        points = np.concatenate(dense) if dense else np.zeros((0, 3))
        if not len(points):
            return points
        low, size = float(points[:, 2].min()), float(np.ptp(points, axis=0).max())
        # A hold further from the wall's plane is not turned to it yet.
        if abs(low) > 0.2 * size and not self._apart:
            return np.zeros((0, 3))
        if self.section is not None:
            points = points[(points - self.section.origin) @ self.section.normal <= 0]
        return points


def _size(surfaces: Iterable[Surface]) -> float:
    """Give the greatest extent of some surfaces together."""
    bounds = np.array([surface.bounds for surface in surfaces if len(surface.vertices)])
    if not len(bounds):
        return 1.0
    return float((bounds[:, 1].max(axis=0) - bounds[:, 0].min(axis=0)).max()) or 1.0
