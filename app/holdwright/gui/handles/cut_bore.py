"""Where bores go, how deep their seats lie and how they lean: drag ring, seat and knob over the hold."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.bore_place import BoreGround, Place, SeatedBore
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.lean_grip import lean_knob, lean_of
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.step_handles import Work
from holdwright.gui.handles.step_solids import entering_surface
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Bore
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.recipe import Step

NUDGE: Final = 1.0
FINE_NUDGE: Final = 0.1
"""How far an arrow key moves the bore, mm; the lesser with Shift."""

LEAST_UNDER: Final = 0.5
"""The hand sets no seat nearer to the back than this, mm."""

MOST_TILT: Final = 15.0
TILT_STEP, TOWARD_STEP = 0.5, 5.0
"""Degrees; with Alt held, a tenth."""

_ARROWS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


class BoreWork(Work[Place | None]):
    """Draws the cutters of the bores where they go."""

    operation = "cut_bore"

    _ground: BoreGround | None = None

    def read(self, step: Step) -> Place | None:
        """Take place and sizes from the recipe, or from what was found."""
        values = step.parameters
        assert isinstance(values, CutBoreParameters)
        surface = entering_surface(self.bench.frames)
        if surface is None:
            return None
        if self._ground is None or surface is not self._ground.surface:
            self._ground = BoreGround(surface)
        made = self._made()
        x, y = values.at
        if values.place == "found":
            if not made:
                return None
            x, y = (float(np.mean([getattr(bore, name) for bore in made])) for name in ("x", "y"))
        place = Place.of(values, x, y, self.bench.catalogue, self._ground)
        if place is None or not self.bench.document.is_current(self.bench.step_id):
            return place
        return _as_made(place, made)

    def grips(self) -> Sequence[Grip]:
        """Give each ring on the surface with its knob, each seat on its axis, and the knob that leans all."""
        if self.state is None:
            return ()
        move, up_down = Qt.CursorShape.SizeAllCursor, Qt.CursorShape.SizeVerCursor
        found = []
        for bore in self.state.bores:
            found += [
                Grip("place-knob", bore.top[None], move),
                Grip("seat", self._seat_knob(bore)[None], up_down),
                Grip("place", bore.rim, move),
                Grip("seat", bore.seat_ring, up_down),
            ]
        return (*found, Grip("lean", self._lean_knob(self.state)[None], move))

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Move the bores over the back, their seats along the axis, or the axis itself."""
        before, held, ground = self.before, self.bench.held, self._ground
        if before is None or held is None or ground is None:
            return
        if grip.name == "seat":
            self._drag_seat(before, held.place, event)
            return
        start = on_level(self.bench.lens.ray(held.x, held.y), held.place)
        way = on_level(event.ray(), held.place) - start
        if grip.name == "lean":
            self._lean(before, self._lean_knob(before) + way, event)
            return
        x, y = before.x + float(way[0]), before.y + float(way[1])
        self._move_to(before, self.bench.snapped(x, 0.1, event), self.bench.snapped(y, 0.1, event))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place, the seats or the tilt."""
        if self.state is None:
            return {}
        values = self.state.values
        if grip.name == "lean":
            return {"tilt": values.tilt, "toward": values.toward}
        if grip.name != "seat":
            return {"place": "at", "at": (self.state.x, self.state.y)}
        if values.seat == "thickness":
            return {"under_seat": values.under_seat}
        return {"seat": "depth", "depth": values.depth}

    def nudge(self, event: QKeyEvent) -> bool:
        """Nudge the bores with the arrow keys, as they point on the screen; nudges in a row are one edit."""
        arrow = _ARROWS.get(Qt.Key(event.key()))
        if arrow is None or self.state is None:
            return False
        fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        by = FINE_NUDGE if fine else NUDGE
        mirrored = self.bench.lens.pose.frame[0][0] < 0.0
        x = self.state.x + by * arrow[0] * (-1.0 if mirrored else 1.0)
        self._move_to(self.state, x, self.state.y + by * arrow[1])
        self.bench.edit(self.drop(Grip("place", np.zeros((1, 3)))), tag=f"{self.bench.step_id}.nudge")
        return True

    def draw(self) -> None:
        """Draw rings, cutters and seats, with the thickness under each seat."""
        if self.state is None:
            return
        for number, bore in enumerate(self.state.bores):
            self._draw_bore(bore, f" {number}" if number else "")
        self._draw_lean(self.state)
        if self.bench.dragged.startswith("place"):
            where = f"{self.bench.text(self.state.x)}, {self.bench.text(self.state.y)}"
            self.bench.pencil.label("where", self.state.bores[0].top, where, (0.0, -26.0))

    def _draw_bore(self, bore: SeatedBore, which: str) -> None:
        pencil, hot = self.bench.pencil, self.bench.hot
        moving, seat = hot in ("place", "place-knob"), self._seat_knob(bore)
        pencil.line(f"place{which}", bore.rim, hot=moving, through=True)
        pencil.quiet_line(f"axis{which}", np.array([bore.foot, bore.top]), over=True)
        pencil.line(f"seat{which}", bore.seat_ring, width=1.2, hot=hot == "seat", through=True)
        pencil.knob(f"seat{which}", seat, hot=hot == "seat", filled=False)
        pencil.knob(f"place{which}", bore.top, hot=moving)
        if hot:
            pencil.sheet(f"cutter{which}", bore.cutter, 0.30)
        told = f"seat {self.bench.text(bore.under)}" if bore.under > 0.0 else "no seat here"
        pencil.label(f"thickness{which}", seat, told, (60.0, 0.0))

    def _draw_lean(self, state: Place) -> None:
        pencil, hot, values = self.bench.pencil, self.bench.hot == "lean", state.values
        knob = self._lean_knob(state)
        pencil.quiet_line("lean", np.array([state.bores[0].top, knob]), over=True)
        pencil.knob("lean", knob, hot=hot, filled=False)
        if hot or values.tilt:
            pencil.label("leans", knob, f"leans {values.tilt:g}°", (0.0, -24.0))

    def _made(self) -> list[Bore]:
        """Give the bores that the step itself made, where they are what is shown."""
        shown, entering = self.bench.frames.shown, self.bench.frames.entering
        if not self.bench.frames.own or shown is None:
            return []
        before = entering.features if entering else ()
        return [each for each in shown.features if isinstance(each, Bore) and each not in before]

    def _move_to(self, before: Place, x: float, y: float) -> None:
        if self._ground is not None:
            self.state = before.moved(x, y, self.bench.catalogue, self._ground)

    def _lean(self, before: Place, knob: Floats, event: ToolEvent) -> None:
        radius = before.shape.pocket_diameter / 2
        tilt, toward = lean_of(knob, before.bores[0].top, radius, MOST_TILT)
        fine = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
        steps = (0.1, 0.1) if fine else (TILT_STEP, TOWARD_STEP)
        tilt, toward = (
            round(round(each / step) * step, 4) for each, step in zip((tilt, toward), steps, strict=True)
        )
        changes = {"tilt": tilt, "toward": toward if tilt else before.values.toward}
        self._change(before, changes)

    def _drag_seat(self, before: Place, taken: Floats, event: ToolEvent) -> None:
        """Set the thickness where that is asked for, else the depth below the surface on the axis."""
        bore = min(before.bores, key=lambda each: float(np.linalg.norm(each.seat_ring - taken, axis=1).min()))
        seat, surface = bore.shape.seat, bore.surface
        underside = seat - bore.under
        least, most = underside + LEAST_UNDER, max(surface - LEAST_UNDER, underside + 2 * LEAST_UNDER)
        wanted = float(np.clip(seat + self.bench.travel(event, np.array(bore.shape.axis)), least, most))
        if before.values.seat == "thickness":
            under = max(self.bench.snapped(wanted - underside, 0.5, event), LEAST_UNDER)
            self._change(before, {"under_seat": under})
        else:
            depth = max(self.bench.snapped(surface - wanted, 0.5, event), LEAST_UNDER)
            self._change(before, {"seat": "depth", "depth": depth})

    def _change(self, before: Place, changes: Mapping[str, Any]) -> None:
        if self._ground is not None:
            self.state = before.with_values(changes, self.bench.catalogue, self._ground)

    def _seat_knob(self, bore: SeatedBore) -> Floats:
        """Give the place of the seat's edge farthest to the right as it is seen now."""
        line = bore.seat_ring
        return np.asarray(line[int(np.argmax(self.bench.lens.project(line)[:, 0]))])

    def _lean_knob(self, state: Place) -> Floats:
        radius = state.shape.pocket_diameter / 2
        return lean_knob(state.bores[0].top, radius, state.values.tilt, state.values.toward)


def _as_made(place: Place, made: Sequence[Bore]) -> Place:
    """Take the seats the step made, where its bores are where these are."""
    if len(made) != len(place.bores):
        return place
    pairs = list(zip(place.bores, made, strict=True))
    if any(np.hypot(bore.shape.x - there.x, bore.shape.y - there.y) > 1e-6 for bore, there in pairs):
        return place
    seated = (replace(bore, shape=replace(bore.shape, seat=there.seat)) for bore, there in pairs)
    return replace(place, bores=tuple(seated))
