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
from holdwright.gui.handles.silhouette import Silhouette
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.step_solids import light_surface
from holdwright.gui.handles.turn_ring import CLEAR, TICK, TurnRing, wrapped
from holdwright.gui.viewport.contour import contour
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.operations.orient_to_base import OrientToBaseParameters
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.display_results import Surface
from holdwright.pipeline.recipe import Step


@dataclass(frozen=True)
class Back:
    """How the back is told.

    Attributes
    ----------
    by
        As in the recipe.
    turn
        Degrees.
    points
        Picked so far where it goes through three.
    plane
        Where it is along one.
    """

    by: str
    turn: float
    points: tuple[PointPick, ...] = ()
    plane: PointPick | None = None


class OrientHandles(StepHandles[Back]):
    """Shows the flat area under the pointer, and the ring that turns the hold on the wall."""

    operation = "orient_to_base"
    picks = True

    _surface: Surface | None = None
    _areas: FlatAreas | None = None
    _under: FlatArea | None = None
    _silhouette: Silhouette | None = None
    _began = 0.0
    _begun: tuple[PointPick, ...] = ()

    def read(self, step: Step) -> Back:
        """Take the back from the recipe."""
        values = step.parameters
        assert isinstance(values, OrientToBaseParameters)
        surface = light_surface(self.frames.shown.solids) if self.frames.shown else None
        if surface is not self._surface:
            self._surface, self._areas, self._under, self._silhouette = surface, None, None, None
        points = values.points if values.by == "points" else ()
        if values.by == "points" and 0 < len(self._begun) < 3:
            points = self._begun
        return Back(values.by, values.turn, points, values.plane)

    def grips(self) -> Sequence[Grip]:
        """Give the ring with its knob, and the plane's knob."""
        found: list[Grip] = []
        ring = self._ring()
        if ring is not None:
            found.append(Grip("turn", ring.knob(self._away())[None]))
            found.append(Grip("turn", ring.line))
        if self.state.by == "plane" and self.state.plane is not None:
            found.append(
                Grip(
                    "plane",
                    self.frames.place(self.state.plane)[0][None],
                    Qt.CursorShape.SizeAllCursor,
                )
            )
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
            moved = self.frames.pick(place + self.context.travel(event, normal) * normal, normal)
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
                self.context.edit({"points": points})
        elif self.state.by == "plane":
            self.context.edit({"plane": self.frames.pick(pick.point, normal)})
        else:
            area = self._area_at(event, self._under)
            facing = area.normal if area is not None else normal
            self._under = None
            self.context.edit({"by": "face", "face": self.frames.pick(pick.point, facing)})

    def look(self, event: ToolEvent | None) -> bool:
        """Show the flat area under the pointer."""
        before, self._under = self._under, None
        if event is not None and self.state.by in ("points", "plane"):
            if event.pick() is not None:
                self.context.viewport.setCursor(Qt.CursorShape.CrossCursor)
        elif event is not None:
            self._under = self._area_at(event, before)
            if self._under is not None:
                self.context.viewport.setCursor(Qt.CursorShape.PointingHandCursor)
        return self._under is not before

    def draw(self) -> None:
        """Draw ring, flat area, points and plane."""
        ring = self._ring()
        if ring is not None:
            moving = self.context.dragged == "turn"
            ring.draw(self.painter, self._away(), hot=self.hot == "turn", moving=moving)
            if moving or self.hot == "turn":
                text = f"turn {self.state.turn:g}°"
                self.painter.label("turn", ring.knob(self._away()), text, (0.0, -28.0))
            if moving and self._away():
                self._draw_turned()
        if self._under is not None and self._areas is not None:
            self._draw_area(self._areas, self._under)
        for number, pick in enumerate(self.state.points, 1):
            place, _ = self.frames.place(pick)
            self.painter.knob(f"point {number}", place)
            self.painter.label(f"point {number}", place, str(number))
        if self.state.by == "plane" and self.state.plane is not None:
            self._draw_plane(self.state.plane)

    def _draw_area(self, areas: FlatAreas, area: FlatArea) -> None:
        lift = 0.002 * self._extent() * area.normal
        points, triangles = areas.mesh(area)
        self.painter.sheet("area", (points + lift, triangles), 0.55)
        self.painter.line("area", areas.rim(area) + lift, width=1.6)

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
        shown, step = self.frames.shown, self.context.step
        if self._surface is None or shown is None or step is None:
            return
        heights = (self._surface.vertices - place) @ normal
        points, lines = contour(self._surface.vertices, self._surface.triangles, heights)
        if not len(lines):
            return
        self.painter.line("cut", points[lines], through=True)
        if self.context.dragged == "plane" and shown.sized:
            assert isinstance(step.parameters, OrientToBaseParameters)
            deep = -float(heights.min()) if step.parameters.flip else float(heights.max())
            self.painter.label("cut", place, f"{self.text(deep)} deep")

    def _draw_turned(self) -> None:
        """Draw the hold's outline as the pointer has turned it."""
        if self._surface is None:
            return
        if self._silhouette is None:
            self._silhouette = Silhouette(self._surface)
        turn = placement(about_z(self._away()))
        self.painter.ghost("turned", self._silhouette.outline(turn, self.context.lens.pose.position))

    def _area_at(self, event: ToolEvent, last: FlatArea | None) -> FlatArea | None:
        """Give the flat area under the pointer: the last one while the pointer stays on it."""
        pick = event.pick()
        if pick is None or self._surface is None:
            return None
        if self._areas is None:
            self._areas = FlatAreas(self._surface)
        if last is not None and self._areas.holds(last, pick.point, pick.normal):
            return last
        return self._areas.round(pick.point, pick.normal)

    def _ring(self) -> TurnRing | None:
        """Give the ring; none before the step has given anything to turn."""
        if not self.frames.own or self._surface is None:
            return None
        across = np.hypot(self._surface.vertices[:, 0], self._surface.vertices[:, 1])
        return TurnRing(float(across.max()) * CLEAR, 0.0)

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
        return float(np.ptp(self._surface.vertices, axis=0).max()) if self._surface is not None else 1.0
