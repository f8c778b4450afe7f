"""Where a screw goes and how it leans: drag its ring over the hold, its axis by the end of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.catalogue.catalogue import look_up
from holdwright.errors import HoldwrightError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.screw_hole import ScrewShape
from holdwright.geometry.hole.screw_site import HeadRule, ScrewSite
from holdwright.geometry.mesh.frame import lean, move_points
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.hold_columns import DepthMap
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.shapes import Mesh, ring, turned
from holdwright.gui.handles.step_handles import Work
from holdwright.gui.handles.step_solids import entering_surface
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import ScrewHole
from holdwright.operations.cut_screw_hole import CutScrewHoleParameters
from holdwright.pipeline.display_results import Surface
from holdwright.pipeline.recipe import Step

NUDGE: Final = 1.0
FINE_NUDGE: Final = 0.1
"""How far an arrow key moves the screw, mm; the lesser with Shift."""

STEEPEST: Final = 45.0
UPRIGHT: Final = 1.5
"""The most that a screw leans, degrees; leaning less than the lesser it stands upright."""

STEM: Final = 22.0
"""Length of the axis drawn out of the hold, by the end of which it is leaned, mm."""

_ARROWS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


@dataclass(frozen=True)
class Stand:
    """A screw as the hand moves it.

    Attributes
    ----------
    shape
        With its countersink where it is now, mm.
    tilt, toward
        How far and where to it leans, degrees.
    rule
        How deep its head goes.
    under
        Thickness under the head; None where there is no room for one.
    site
        The material round it, as measured where it is now.
    """

    shape: ScrewShape
    tilt: float
    toward: float
    rule: HeadRule
    under: float | None = None
    site: ScrewSite | None = field(default=None, compare=False)

    @property
    def rim(self) -> Floats:
        """The rim of the head's pocket as it lies on the surface, (n, 3)."""
        shape = self.shape
        line = ring(np.zeros(3), np.array([0.0, 0.0, 1.0]), shape.head_diameter / 2)
        line[:, 2] = shape.mouth
        if self.site is not None:
            line[:, 2] = np.fmax(self.site.tops(line[:, :2]), shape.mouth)
        return move_points(shape.from_axis, line)

    @property
    def out(self) -> float:
        """Height along the axis at which the cutter is out of the hold, mm."""
        shape = self.shape
        heights = (self.rim - shape.foot) @ np.array(shape.axis)
        return float(heights.max()) + 1.0


class ScrewWork(Work[Stand | None]):
    """Draws the cutter of a screw hole where it goes, with its axis standing out of the hold."""

    operation = "cut_screw_hole"

    _surface: Surface | None = None
    _points: Floats = np.empty((0, 3))
    _map: DepthMap | None = None

    def read(self, step: Step) -> Stand | None:
        """Take place, lean and sizes from the recipe, or the place from what was found."""
        values = step.parameters
        assert isinstance(values, CutScrewHoleParameters)
        surface = entering_surface(self.bench.frames)
        if surface is not self._surface:
            self._surface, self._map = surface, None
            self._points = surface.vertices.astype(np.float64) if surface else np.empty((0, 3))
        x, y = values.at
        if values.place == "found":
            made = self._made()
            if made is None:
                return None
            x, y = made.x, made.y
        return self._sized(values, x, y)

    def grips(self) -> Sequence[Grip]:
        """Give the ring on the surface with its knob, and the end of the axis."""
        if self.state is None:
            return ()
        move = Qt.CursorShape.SizeAllCursor
        return (
            Grip("lean", self._stem()[1][None]),
            Grip("place-knob", self._stem()[0][None], move),
            Grip("place", self.state.rim, move),
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Move the screw over the back, or lean it about its foot."""
        before, held = self.before, self.bench.held
        if before is None or held is None:
            return
        start = on_level(self.bench.lens.ray(held.x, held.y), held.place)
        way = on_level(event.ray(), held.place) - start
        if grip.name == "lean":
            free = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
            self.state = self._leaned(before, held.place + way, free=free)
            return
        x, y = before.shape.x + float(way[0]), before.shape.y + float(way[1])
        self._move_to(before, self.bench.snapped(x, 0.1, event), self.bench.snapped(y, 0.1, event))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place, and with the lean keep it: a search would set a leaning screw elsewhere."""
        if self.state is None:
            return {}
        at = {"place": "at", "at": (self.state.shape.x, self.state.shape.y)}
        if grip.name != "lean":
            return at
        return {**at, "tilt": self.state.tilt, "toward": self.state.toward}

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on the hold with Shift: the head goes there."""
        shift = bool(event.modifiers & Qt.KeyboardModifier.ShiftModifier)
        return shift and self.bench.step is not None and event.pick() is not None

    def click(self, event: ToolEvent) -> None:
        """Put the head where the hold was clicked."""
        pick, step = event.pick(), self.bench.step
        if pick is None or step is None:
            return
        values = step.parameters
        assert isinstance(values, CutScrewHoleParameters)
        place = np.array(self.bench.frames.pick(pick.point, pick.normal).point)
        axis = np.array(lean(values.tilt, values.toward))
        foot = place - axis * (place[2] / axis[2])
        self.bench.edit({"place": "at", "at": self._on_back(float(foot[0]), float(foot[1]))})

    def nudge(self, event: QKeyEvent) -> bool:
        """Nudge the screw with the arrow keys, as they point on the screen; nudges in a row are one edit."""
        arrow = _ARROWS.get(Qt.Key(event.key()))
        if arrow is None or self.state is None:
            return False
        fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        by = FINE_NUDGE if fine else NUDGE
        mirrored = self.bench.lens.pose.frame[0][0] < 0.0
        shape = self.state.shape
        self._move_to(
            self.state, shape.x + by * arrow[0] * (-1.0 if mirrored else 1.0), shape.y + by * arrow[1]
        )
        self.bench.edit(self.drop(Grip("place", np.zeros((1, 3)))), tag=f"{self.bench.step_id}.nudge")
        return True

    def draw(self) -> None:
        """Draw ring, axis and cutter, with the thickness under the head."""
        if self.state is None:
            return
        pencil, hot, shape = self.bench.pencil, self.bench.hot, self.state.shape
        head, end = self._stem()
        moving, leaning = hot in ("place", "place-knob"), hot == "lean"
        pencil.line("place", self.state.rim, hot=moving, through=True)
        pencil.quiet_line("axis", np.array([shape.foot, end]), over=True)
        pencil.knob("place", head, hot=moving)
        pencil.knob("lean", end, hot=leaning, filled=False)
        pencil.sheet("cutter", self._cutter(), 0.34 if hot else 0.18)
        pencil.label("thickness", head, self._told(), (66.0, 14.0))
        if self.bench.dragged.startswith("place"):
            where = f"{self.bench.text(shape.x)}, {self.bench.text(shape.y)}"
            pencil.label("where", head, where, (0.0, -26.0))
        if leaning:
            pencil.label("angle", end, self._leaning())

    def _told(self) -> str:
        assert self.state is not None
        under = self.state.under
        return "no room for the head" if under is None else f"{self.bench.text(under)} under the head"

    def _leaning(self) -> str:
        assert self.state is not None
        if self.state.tilt == 0.0:
            return "upright"
        return f"leans {self.state.tilt:.0f}° toward {self.state.toward:.0f}°"

    def _made(self) -> ScrewHole | None:
        """Give the hole that the step made, if what is shown is its result."""
        shown, entering = self.bench.frames.shown, self.bench.frames.entering
        if not self.bench.frames.own or shown is None:
            return None
        before = entering.features if entering else ()
        holes = [each for each in shown.features if isinstance(each, ScrewHole) and each not in before]
        return holes[-1] if holes else None

    def _move_to(self, before: Stand, x: float, y: float) -> None:
        x, y = self._on_back(x, y)
        self.state = self._seated(replace(before, shape=replace(before.shape, x=x, y=y)))

    def _leaned(self, before: Stand, end: Floats, *, free: bool) -> Stand:
        """Lean a screw about its foot so that its axis goes through a place, in whole degrees unless free."""
        way = end - before.shape.foot
        out = float(np.hypot(way[0], way[1]))
        tilt = min(float(np.degrees(np.arctan2(out, max(float(way[2]), 1e-6)))), STEEPEST)
        toward = float(np.degrees(np.arctan2(way[1], way[0])))
        tilt, toward = (round(tilt, 1), round(toward, 1)) if free else (round(tilt), round(toward))
        tilt, toward = (0.0, 0.0) if tilt < UPRIGHT else (float(tilt), float(toward))
        shape = replace(before.shape, axis=lean(tilt, toward))
        return self._seated(replace(before, shape=shape, tilt=tilt, toward=toward))

    def _sized(self, values: CutScrewHoleParameters, x: float, y: float) -> Stand | None:
        """Give the screw's sizes from the catalogue; None where it has no such row."""
        try:
            screw = look_up(self.bench.catalogue.wood_screws, values.screw, "wood screw")
        except HoldwrightError:
            return None
        allowance = values.hole_allowance
        shape = ScrewShape(
            x,
            y,
            lean(values.tilt, values.toward),
            screw.clearance + allowance,
            screw.mouth + allowance,
            screw.head_angle,
        )
        rule = HeadRule(values.head_below, values.at_most)
        return self._seated(Stand(shape, values.tilt, values.toward, rule))

    def _seated(self, stand: Stand) -> Stand:
        """Sink the head as the step itself will."""
        if self._surface is None:
            return stand
        triangles = self._surface.triangles.astype(np.int64)
        site = ScrewSite.of_mesh(self._points, triangles, stand.shape, stand.shape.head_diameter)
        try:
            shape = site.seated(stand.rule)
        except HoldwrightError:
            return replace(stand, under=None, site=site)
        return replace(stand, shape=shape, under=site.under_head(shape.seat).value, site=site)

    def _on_back(self, x: float, y: float) -> tuple[float, float]:
        if self._map is None and self._surface is not None:
            self._map = DepthMap.of(self._surface)
        if self._map is not None:
            x, y = self._map.on_back(x, y)
        return round(x, 2) + 0.0, round(y, 2) + 0.0

    def _stem(self) -> Floats:
        """Give where the axis leaves the hold, and its end beyond."""
        assert self.state is not None
        shape, out = self.state.shape, self.state.out
        return np.array([shape.on_axis(out - 1.0), shape.on_axis(out + STEM)])

    def _cutter(self) -> Mesh:
        assert self.state is not None
        shape = self.state.shape
        hole, head = shape.hole_diameter / 2, shape.head_diameter / 2
        profile = [(hole, 0.0), (hole, shape.seat), (head, shape.mouth), (head, self.state.out)]
        return turned(profile, shape.foot, np.array(shape.axis))
