"""Which side is the back, and how the hold is turned: click a flat area or three points; drag the ring."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.base.wall_rotation import about_z
from holdwright.geometry.mesh.frame import placement
from holdwright.gui.handles.flat_area import FlatArea, FlatAreas
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.shapes import quad
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.turn_ring import TICK, TurnRing, wrapped
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.operations.orient_to_base import OrientToBaseParameters
from holdwright.parameters.kinds import PointPick
from holdwright.render.contour import contour


@dataclass(frozen=True)
class Back:
    """How the back is given."""

    by: str
    """As in the recipe."""
    turn: float
    """Degrees."""
    points: tuple[PointPick, ...] = ()
    """Picked so far where it goes through three."""
    plane: PointPick | None = None
    """Where it is along one."""


class OrientHandles(StepHandles[Back]):
    """Shows the flat area under the pointer, and the ring that turns the hold on the wall."""

    operation = "orient_to_base"
    picks = True

    values: OrientToBaseParameters
    _under: FlatArea | None = None
    _began = 0.0
    _begun: tuple[PointPick, ...] = ()

    def read(self) -> Back:
        """Take the back from the recipe."""
        values = self.values
        if self._under is not None and self._under.surface is not self.frames.shown_surface:
            self._under = None
        points = values.points if values.by == "points" else ()
        if values.by == "points" and 0 < len(self._begun) < 3:
            points = self._begun
        return Back(values.by, values.turn, points, values.plane)

    def grips(self) -> Sequence[Grip]:
        """Give the ring with its knob, and the plane's knob."""
        found: list[Grip] = []
        if ring := self._ring():
            found += [Grip("turn", ring.knob(self._away())[None]), Grip("turn", ring.line)]
        if self.state.by == "plane" and self.state.plane is not None:
            place, _ = self.frames.place(self.state.plane)
            found.append(Grip("plane", place[None], Qt.CursorShape.SizeAllCursor))
        return found

    def begin(self, event: ToolEvent) -> None:
        """Take hold; of the ring at any angle."""
        self._began = self._angle(event)

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Turn the hold, or move the plane along its normal."""
        before = self.before
        if before is None:
            return
        if grip.name == "turn":
            turn = before.turn + wrapped(self._angle(event) - self._began)
            free = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
            turn = round(turn, 1) if free else round(turn / TICK) * TICK
            self.state = replace(before, turn=wrapped(float(turn)) + 0.0)
        elif before.plane is not None:
            place, normal = self.frames.place(before.plane)
            moved = self.frames.pick(place + self.travel(event, normal) * normal, normal)
            self.state = replace(before, plane=moved)

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit turn or plane."""
        return {"turn": self.state.turn} if grip.name == "turn" else {"plane": self.state.plane}

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on the hold."""
        return event.pick() is not None

    def click(self, event: ToolEvent) -> None:
        """Take the flat area, the next of three points or the plane under the pointer."""
        pick = event.pick()
        if pick is None:
            return
        normal = pick.normal
        if self.state.by == "points":
            points = self.state.points if len(self.state.points) < 3 else ()
            points = (*points, self.frames.pick(pick.point, normal))
            self.state = replace(self.state, points=points)
            self._begun = points
            if len(points) == 3:
                self.edit({"points": points})
        elif self.state.by == "plane":
            self.edit({"plane": self.frames.pick(pick.point, normal)})
        else:
            area = self._area_at(event, self._under)
            facing = area.normal if area is not None else normal
            self._under = None
            self.edit({"by": "face", "face": self.frames.pick(pick.point, facing)})

    def look(self, event: ToolEvent | None) -> bool:
        """Show the flat area under the pointer."""
        before, self._under = self._under, None
        if event is not None and self.state.by in ("points", "plane"):
            if event.pick() is not None:
                self.viewport.setCursor(Qt.CursorShape.CrossCursor)
        elif event is not None:
            self._under = self._area_at(event, before)
            if self._under is not None:
                self.viewport.setCursor(Qt.CursorShape.PointingHandCursor)
        return self._under is not before

    def draw(self) -> None:
        """Draw ring, flat area, points and plane."""
        if ring := self._ring():
            moving = self.dragged == "turn"
            ring.draw(self.painter, self._away(), hot=self.hot == "turn", moving=moving)
            if moving or self.hot == "turn":
                text = f"turn {self.state.turn:g}°"
                self.painter.label("turn", ring.knob(self._away()), text, (0.0, -28.0))
            if moving and self._away():
                self.draw_moved("turned", placement(about_z(self._away())))
        if self._under is not None:
            self._draw_area(self._under)
        for number, pick in enumerate(self.state.points, 1):
            place, _ = self.frames.place(pick)
            self.painter.knob(f"point {number}", place)
            self.painter.label(f"point {number}", place, str(number))
        if self.state.by == "plane" and self.state.plane is not None:
            self._draw_plane(self.state.plane)

    def _draw_area(self, area: FlatArea) -> None:
        lift = 0.002 * self._extent() * area.normal
        self.painter.sheet("area", (area.mesh.vertices + lift, area.mesh.triangles), 0.55)
        self.painter.line("area", area.mesh.vertices[area.mesh.open_edges] + lift, width=1.6)

    def _draw_plane(self, plane: PointPick) -> None:
        place, normal = self.frames.place(plane)
        hot = self.hot == "plane"
        half = 0.35 * self._extent()
        sheet = quad(place, normal, half)
        self.painter.sheet("plane", sheet, 0.30)
        self.painter.line("plane", sheet[0][[0, 1, 2, 3, 0]], hot=hot)
        self.painter.quiet_line("normal", np.array([place, place + 0.4 * half * normal]), over=True)
        self.painter.knob("plane", place, hot=hot)
        self._draw_cut(place, normal)

    def _draw_cut(self, place: Floats, normal: Floats) -> None:
        """Draw the outline at which the plane meets the hold, and while it is dragged how deep it lies."""
        shown, surface = self.frames.shown, self.frames.shown_surface
        if shown is None or surface is None:
            return
        heights = (surface.vertices - place) @ normal
        points, lines = contour(surface.vertices, surface.triangles, heights)
        if not len(lines):
            return
        self.painter.line("cut", points[lines], through=True)
        if self.dragged == "plane" and shown.sized:
            deep = -float(heights.min()) if self.values.flip else float(heights.max())
            self.painter.label("cut", place, f"{self.text(deep)} deep")

    def _area_at(self, event: ToolEvent, last: FlatArea | None) -> FlatArea | None:
        """Give the flat area under the pointer: the last one while the pointer stays on it."""
        pick, surface = event.pick(), self.frames.shown_surface
        if pick is None or surface is None:
            return None
        areas = self.made_of(surface, FlatAreas)
        if last is not None and areas.holds(last, pick.point, pick.normal):
            return last
        return areas.round(pick.point, pick.normal)

    def _ring(self) -> TurnRing | None:
        """Give the ring; none before the step has given anything to turn."""
        surface = self.frames.shown_surface
        if not self.frames.own or surface is None:
            return None
        return TurnRing(float(np.hypot(surface.vertices[:, 0], surface.vertices[:, 1]).max()))

    def _away(self) -> float:
        """Give how far the pointer has turned from what is shown, degrees."""
        if self.before is None:
            return 0.0
        return wrapped(self.state.turn - self.before.turn)

    def _angle(self, event: ToolEvent) -> float:
        """Give the pointer's angle about the middle, degrees counter-clockwise from straight up."""
        x, y, _ = on_level(event.ray(), np.zeros(3))
        return float(np.degrees(np.arctan2(y, x))) - 90.0

    def _extent(self) -> float:
        surface = self.frames.shown_surface
        return float(np.ptp(surface.vertices, axis=0).max()) if surface is not None else 1.0
