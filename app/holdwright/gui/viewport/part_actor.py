"""A solid, or a piece of a raw sculpt, in the scene: drawn fully or coarsely, whole or cut open."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final, TypeVar

import numpy as np
from vtkmodules.vtkRenderingCore import vtkRenderer

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.colour_map import ColourMap
from holdwright.gui.viewport.detail_level import DetailLevel
from holdwright.gui.viewport.drawing_style import DrawingStyle
from holdwright.gui.viewport.picking import Probe, Target
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import CutPlane, contour
from holdwright.render.drawn_mesh import DrawnMesh, SectionCap, SurfaceLines
from holdwright.render.polydata import thinned
from holdwright.render.surface_mesh import SurfaceMesh, surface_mesh

FINE_LIMIT: Final = 600_000
"""Triangles above which a surface is not smoothed: so large a mesh is smooth by itself."""

D = TypeVar("D", bound=DrawnMesh)


@dataclass(frozen=True)
class Setting:
    """What all parts of a scene have in common."""

    renderer: vtkRenderer
    """Takes the actors."""
    size: float
    """Greatest extent of all parts together, mm."""
    dense: bool
    """Whether they are too many triangles to be made ready in full at once."""
    corners: int
    """How many points of each part to fit a view to, at most about."""


class PartActor:
    """One named surface in the scene.

    Parameters
    ----------
    surface
        Its whole surface.
    light
        A coarser one to draw while the view moves; None to have one made when it is needed.
    """

    def __init__(
        self, name: str, surface: Surface, light: Surface | None, setting: Setting, look: DrawingStyle
    ) -> None:
        self.name = name
        self.surface = surface
        self.lift: Floats = np.zeros(3)
        self.visible = True
        self._given_light = light
        self._setting = setting
        self._style = look
        self._colour, self._cut_colour = look.stone(name), look.cut(name)
        self._drawn: list[DrawnMesh] = []
        self._levels: dict[bool, DetailLevel] = {}
        self._fine: dict[bool, SurfaceMesh] = {}
        self._section: CutPlane | None = None
        self._heat: ColourMap | None = None
        self.opacity = 1.0

    def target(self, *, rough: bool = False) -> Target:
        """Give it as something a line of sight can hit; its coarser surface where that will do."""
        return Target(self.name, self.lift, self._rough_probe if rough else self._probe)

    # What few parts need is created when it is needed: a sculpt may come in hundreds of pieces.

    @cached_property
    def edges(self) -> SurfaceLines:
        """Its sharp edges."""
        return self._added(SurfaceLines(1.3, self._style.pixel))

    @cached_property
    def limit(self) -> SurfaceLines:
        """Where values meet their limit."""
        # Stands out from the lower half of the scale, where limits lie.
        return self._added(SurfaceLines(2.0, self._style.pixel, "#FFFDF9"))

    @cached_property
    def cap(self) -> SectionCap:
        """Its cut face."""
        cap = SectionCap(-1.0 if self.name == "core" else 1.0, self._style.pixel, self._cut_colour)
        for drawn in (cap, cap.outline):
            self._setting.renderer.AddActor(drawn.actor)
        return cap

    @cached_property
    def corners(self) -> Floats:
        """(n, 3) a fair choice of its points, to fit a view to."""
        step = max(len(self.surface.vertices) // self._setting.corners, 1)
        return self.surface.vertices[::step].astype(np.float64)

    @property
    def extremes(self) -> Floats:
        """(3, 2, 3) its least and its greatest point along x, y and z, where it lies."""
        return self.surface.extremes

    @cached_property
    def light(self) -> Surface:
        """The coarser surface; the whole one where that is coarse enough."""
        if self._given_light is not None:
            return self._given_light
        # So few are never worth a stand-in.
        if not self._setting.dense or len(self.surface.triangles) <= 1_000:
            return self.surface
        # About so many cells along what is shown.
        made = thinned(self.surface, self._setting.size / 70)
        return made if len(made.triangles) else self.surface

    @property
    def unprepared(self) -> Iterator[Surface]:
        """What of it still has to be smoothed, the most urgent first."""
        if True in self._levels and True not in self._fine:
            yield self.light
        if False not in self._fine and len(self.surface.triangles) <= FINE_LIMIT:
            yield self.surface

    def draw(self, *, coarse: bool) -> bool:
        """Show one degree of detail, and tell whether it is shown for the first time."""
        coarse = coarse and self.light is not self.surface
        new = coarse not in self._levels
        if new:
            surface = self.light if coarse else self.surface
            if coarse not in self._fine and not self._setting.dense:
                self.set_mesh(surface, surface_mesh(surface))
            level = self._added(DetailLevel(self._fine.get(coarse) or surface_mesh(surface, fine=False)))
            level.paint(self._style.exposure, self._style.pixel, self._colour)
            level.set_opacity(self.opacity)
            self._levels[coarse] = level
            self._colour_level(coarse)
        for detail, level in self._levels.items():
            level.actor.SetVisibility(self.visible and detail == coarse)
        for pen in self._pens:
            pen.show(self.visible, coarse=coarse)
        return new

    def set_mesh(self, surface: Surface, fine: SurfaceMesh) -> bool:
        """Draw a surface smoothed from now on, and tell whether it is one of this part's."""
        if surface is not self.surface and surface is not self.light:
            return False
        coarse = surface is not self.surface
        self._fine[coarse] = fine
        # Edges of a stand-in made here are ragged; one from outside has good ones.
        good = not coarse or (False not in self._fine and self._given_light is not None)
        if good and (len(fine.lines) or "edges" in vars(self)):
            self.edges.draw(fine.points, fine.lines)
        if coarse in self._levels:
            self._levels[coarse].set_surface(fine)
            self._colour_level(coarse)
        return True

    def remove(self) -> None:
        """Take it out of the scene."""
        caps = (self.cap, self.cap.outline) if self._is_capped else ()
        for drawn in (*self._drawn, *caps):
            self._setting.renderer.RemoveActor(drawn.actor)

    def triangles(self, *, coarse: bool) -> int:
        """Give how many triangles drawing it takes."""
        if not self.visible:
            return 0
        return len((self.light if coarse else self.surface).triangles)

    def paint(self, colour: str, cut_colour: str, look: DrawingStyle) -> None:
        """Draw it in other colours, and in another style."""
        self._colour, self._cut_colour, self._style = colour, cut_colour, look
        for level in self._levels.values():
            level.paint(look.exposure, look.pixel, colour)
        for pen in self._pens:
            pen.paint(look.pixel)
        if self._is_capped:
            self.cap.paint(look.pixel, cut_colour)

    def set_opacity(self, opacity: float) -> None:
        """Let what is in it show through."""
        self.opacity = opacity
        for level in self._levels.values():
            level.set_opacity(opacity)

    def place(self, lift: Floats) -> None:
        """Draw it away from where it lies."""
        self.lift = lift
        for drawn in self._drawn:
            drawn.place(lift)

    def clip(self, section: CutPlane | None) -> None:
        """Leave out what lies on the side of the section's normal."""
        self._section = section
        for drawn in self._drawn:
            drawn.clip(section)
        if section is None and self._is_capped:
            self.cap.hide()

    def cut(self, *, coarse: bool) -> None:
        """Make its cut face anew, from its coarser surface where that will do."""
        if self._section is None or not self.visible:
            if self._is_capped:
                self.cap.hide()
            return
        coarse = coarse and self.light is not self.surface
        self.cap.cut(self.light if coarse else self.surface, self._section, self.lift)

    def set_colour_map(self, heat: ColourMap | None) -> None:
        """Colour it by one value for each vertex, or in its own colour again."""
        self._heat = heat
        if "limit" in vars(self):
            self.limit.erase()
        if heat is not None and heat.limit is not None:
            known = np.nan_to_num(heat.values.astype(np.float64), nan=heat.high)
            self.limit.draw(*contour(self.surface.vertices, self.surface.triangles, known - heat.limit))
        for coarse in self._levels:
            self._colour_level(coarse)

    @property
    def _pens(self) -> tuple[SurfaceLines, ...]:
        return tuple(vars(self)[name] for name in ("edges", "limit") if name in vars(self))

    @property
    def _is_capped(self) -> bool:
        return "cap" in vars(self)

    def _added(self, drawn: D) -> D:
        """Put something into the scene that lies and is clipped as the part is."""
        drawn.place(self.lift)
        drawn.clip(self._section)
        self._drawn.append(drawn)
        self._setting.renderer.AddActor(drawn.actor)
        return drawn

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self.surface)

    @cached_property
    def _rough_probe(self) -> Probe:
        return self._probe if self.light is self.surface else Probe(self.light)

    def _colour_level(self, coarse: bool) -> None:
        self._levels[coarse].set_colour_map(self._heat, self.surface.vertices if coarse else None)
