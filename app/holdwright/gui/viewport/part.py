"""A solid, or a piece of a raw sculpt, in the scene: drawn fully or coarsely, whole or cut open."""

from collections.abc import Iterator
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor

from holdwright.geometry.sculpt import Floats
from holdwright.gui.viewport.edges import Edges
from holdwright.gui.viewport.level import Level
from holdwright.gui.viewport.look import Look
from holdwright.gui.viewport.picking import Plane, Probe, Target
from holdwright.gui.viewport.polydata import mesh_of, thinned
from holdwright.gui.viewport.section import Cap, vtk_plane
from holdwright.gui.viewport.skin import Skin, skin
from holdwright.pipeline.shown import Surface

SOON: Final = 40_000
"""Triangles up to which a surface is made ready in full at once; larger ones begin plain."""

_CELLS: Final = 110
"""A stand-in made here has about so many cells along what is shown."""


class Part:
    """One named surface in the scene.

    Parameters
    ----------
    surface
        Its whole surface.
    light
        A coarser one to draw while the view moves; None to have one made when it is needed.
    size
        Of all that is shown, mm: what detail a stand-in made here keeps.
    """

    def __init__(
        self, name: str, surface: Surface, light: Surface | None, size: float, look: Look, pixel: float
    ) -> None:
        self.name = name
        self.surface = surface
        self.lift: Floats = np.zeros(3)
        self.visible = True
        self._light = light
        self._size = size
        self._look = look
        self._pixel = pixel
        self._colour, self._cut_colour = look.stone(name), look.cut(name)
        self._full: Level | None = None
        self._coarse: Level | None = None
        self._fine_skin: Skin | None = None
        self._section: Plane | None = None
        self._heat: tuple[NDArray[np.float32], vtkLookupTable] | None = None
        self.edges = Edges(pixel)
        self.cap = Cap(self._cut_colour, -1.0 if name == "core" else 1.0, pixel)

    def target(self, *, rough: bool = False) -> Target:
        """Give it as something a line of sight can meet; its coarser surface where that will do."""
        return Target(self.name, self.lift, self._rough_probe if rough else self._probe)

    @cached_property
    def corners(self) -> Floats:
        """(n, 3) a fair choice of its points, to fit a view to."""
        step = max(len(self.surface.vertices) // 3000, 1)
        return self.surface.vertices[::step].astype(np.float64)

    @cached_property
    def extremes(self) -> Floats:
        """(3, 2, 3) its least and its greatest point along x, y and z, where it lies."""
        points = self.surface.vertices
        ends = np.stack([points.argmin(axis=0), points.argmax(axis=0)], axis=1)
        return np.asarray(points[ends], dtype=np.float64)

    @cached_property
    def light(self) -> Surface:
        """The coarser surface; the whole one where that is coarse enough."""
        if self._light is not None:
            return self._light
        if len(self.surface.triangles) <= SOON:
            return self.surface
        made = thinned(self.surface, self._size / _CELLS)
        return made if len(made.triangles) else self.surface

    @property
    def wants_fine(self) -> bool:
        """Whether it is drawn fully, but with a plain skin as yet."""
        return self._full is not None and self._fine_skin is None

    def draw(self, *, coarse: bool) -> Iterator[vtkActor]:
        """Show one degree of detail and give the actors that are new."""
        coarse = coarse and self.light is not self.surface
        if coarse and self._coarse is None:
            worn = skin(self.light)
            self._coarse = self._made(worn)
            if self._fine_skin is None and self.light is self._light:
                self.edges.wear(worn)
            yield self._coarse.actor
        if not coarse and self._full is None:
            soon = len(self.surface.triangles) <= SOON
            worn = self._fine_skin or skin(self.surface, fine=soon)
            self._full = self._made(worn)
            if soon:
                self.wear(worn)
            yield self._full.actor
        for level, wanted in ((self._coarse, coarse), (self._full, not coarse)):
            if level is not None:
                level.show(self.visible and wanted)
        self.edges.show(self.visible, coarse=coarse)

    def wear(self, fine: Skin) -> None:
        """Draw the whole surface with its fine skin from now on."""
        self._fine_skin = fine
        self.edges.wear(fine)
        if self._full is not None and self._full.skin is not fine:
            self._full.wear(fine)
            self._warm(self._full)

    @property
    def actors(self) -> Iterator[vtkActor]:
        """All that the scene has of it."""
        for level in self._levels:
            yield level.actor
        yield from (self.edges.actor, self.cap.actor, self.cap.outline)

    def triangles(self, *, coarse: bool) -> int:
        """Give how many triangles drawing it takes."""
        if not self.visible:
            return 0
        return len((self.light if coarse else self.surface).triangles)

    def paint(self, colour: str, cut_colour: str, look: Look) -> None:
        """Draw it in another colour."""
        self._colour, self._cut_colour, self._look = colour, cut_colour, look
        for level in self._levels:
            level.light(colour, look.exposure, self._pixel)
        self.cap.paint(cut_colour)

    def place(self, lift: Floats) -> None:
        """Draw it away from where it lies."""
        self.lift = lift
        self.edges.place(lift)
        for level in self._levels:
            level.place(lift)

    def clip(self, section: Plane | None) -> None:
        """Leave out what lies on the side of the section's normal."""
        self._section = section
        plane = vtk_plane(section) if section else None
        self.edges.clip(plane)
        for level in self._levels:
            level.clip(plane)
        if section is None:
            self.cap.hide()

    def cut(self, *, coarse: bool) -> None:
        """Make its cut face anew, from its coarser surface where that will do."""
        if self._section is None or not self.visible:
            self.cap.hide()
            return
        coarse = coarse and self.light is not self.surface
        self.cap.cut(self._coarse_mesh if coarse else self._mesh, self._section, self.lift)

    def heat(self, values: NDArray[np.float32] | None, table: vtkLookupTable | None) -> None:
        """Colour it by one value for each vertex, or in its own colour again."""
        self._heat = (values, table) if values is not None and table is not None else None
        for level in self._levels:
            self._warm(level)

    @property
    def mesh(self) -> vtkPolyData:
        """Its whole bare surface."""
        return self._mesh

    @property
    def _levels(self) -> list[Level]:
        return [level for level in (self._coarse, self._full) if level is not None]

    @cached_property
    def _mesh(self) -> vtkPolyData:
        return mesh_of(self.surface.vertices, self.surface.triangles)

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self.surface)

    @cached_property
    def _rough_probe(self) -> Probe:
        return self._probe if self.light is self.surface else Probe(self.light)

    @cached_property
    def _coarse_mesh(self) -> vtkPolyData:
        return mesh_of(self.light.vertices, self.light.triangles)

    def _made(self, worn: Skin) -> Level:
        level = Level(worn, self._look.exposure, self._pixel)
        level.light(self._colour, self._look.exposure, self._pixel)
        level.place(self.lift)
        level.clip(vtk_plane(self._section) if self._section else None)
        self._warm(level)
        return level

    def _warm(self, level: Level) -> None:
        values, table = self._heat if self._heat else (None, None)
        level.heat(values, self.surface.vertices if level is self._coarse else None, table)
