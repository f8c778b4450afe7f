"""Where the bore goes and how deep its seat lies: drag the ring over the hold, the seat along the axis."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.catalogue.fasteners import pocket_diameter
from holdwright.errors import HoldwrightError
from holdwright.geometry.bore import BoreShape
from holdwright.geometry.sculpt import Floats
from holdwright.geometry.seat import SeatRule
from holdwright.gui.handles.aim import on_level
from holdwright.gui.handles.depth_map import DepthMap
from holdwright.gui.handles.frames import entering_surface
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.shapes import Mesh, ring, turned
from holdwright.gui.handles.work import Work
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Bore
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.recipe import Step
from holdwright.pipeline.shown import Surface

UP: Final = np.array([0.0, 0.0, 1.0])

NUDGE: Final = 1.0
FINE_NUDGE: Final = 0.1
"""How far an arrow key moves the bore, mm; the lesser with Shift."""

LEAST_UNDER: Final = 0.5
"""The hand sets no seat nearer to the back than this, mm."""

_ARROWS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


@dataclass(frozen=True)
class Place:
    """A bore as the hand moves it.

    Attributes
    ----------
    shape
        With the seat where it is now, mm.
    rule
        How high the seat is wanted.
    """

    shape: BoreShape
    rule: SeatRule


class BoreWork(Work[Place | None]):
    """Draws the cutter of the bore where it goes."""

    operation = "cut_bore"

    _surface: Surface | None = None
    _map: DepthMap | None = None

    def read(self, step: Step) -> Place | None:
        """Take place and sizes from the recipe, or from what was found."""
        values = step.parameters
        assert isinstance(values, CutBoreParameters)
        surface = entering_surface(self.bench.frames)
        if surface is not self._surface:
            self._surface, self._map = surface, None
        shown, entering = self.bench.frames.shown, self.bench.frames.entering
        x, y = values.at
        made = None
        if self.bench.frames.own and shown is not None:
            before = entering.features if entering else ()
            bores = [each for each in shown.features if isinstance(each, Bore) and each not in before]
            made = bores[-1] if bores else None
        if values.place == "found":
            if made is None:
                return None
            x, y = made.x, made.y
        place = self._sized(values, x, y)
        if place is None:
            return None
        if (
            made is not None
            and (made.x, made.y) == (x, y)
            and self.bench.document.is_current(self.bench.step_id)
        ):
            return replace(place, shape=replace(place.shape, seat=made.seat_z))
        return self._seated(place)

    def grips(self) -> Sequence[Grip]:
        """Give the ring on the surface with its knob, and the seat on the axis."""
        if self.state is None:
            return ()
        move, up_down = Qt.CursorShape.SizeAllCursor, Qt.CursorShape.SizeVerCursor
        return (
            Grip("place-knob", self._top()[None], move),
            Grip("seat", self._seat_knob()[None], up_down),
            Grip("place", self._rim(), move),
            Grip("seat", self._seat_ring(), up_down),
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Move the bore over the back, or its seat along the axis."""
        before, held = self.before, self.bench.held
        if before is None or held is None:
            return
        if grip.name == "seat":
            self._drag_seat(before, event)
            return
        start = on_level(self.bench.lens.ray(held.x, held.y), held.place)
        way = on_level(event.ray(), held.place) - start
        x, y = before.shape.x + float(way[0]), before.shape.y + float(way[1])
        self._move_to(before, self.bench.snapped(x, 0.1, event), self.bench.snapped(y, 0.1, event))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place or the seat."""
        if self.state is None:
            return {}
        if grip.name != "seat":
            return {"place": "at", "at": (self.state.shape.x, self.state.shape.y)}
        rule = self.state.rule
        if rule.by == "thickness":
            return {"under_seat": rule.under_seat}
        return {"seat": "depth", "depth": rule.depth}

    def nudge(self, event: QKeyEvent) -> bool:
        """Nudge the bore with the arrow keys, as they point on the screen; nudges in a row are one edit."""
        arrow = _ARROWS.get(Qt.Key(event.key()))
        if arrow is None or self.state is None:
            return False
        fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        by = FINE_NUDGE if fine else NUDGE
        mirrored = self.bench.lens.pose.frame[0][0] < 0.0
        shape = self.state.shape
        x = shape.x + by * arrow[0] * (-1.0 if mirrored else 1.0)
        self._move_to(self.state, x, shape.y + by * arrow[1])
        self.bench.edit(self.drop(Grip("place", np.zeros((1, 3)))), tag=f"{self.bench.step_id}.nudge")
        return True

    def draw(self) -> None:
        """Draw ring, cutter and seat, with the thickness under the seat."""
        if self.state is None:
            return
        pencil, hot, shape = self.bench.pencil, self.bench.hot, self.state.shape
        foot = np.array([shape.x, shape.y, 0.0])
        top = self._top()
        moving = hot in ("place", "place-knob")
        pencil.line("place", self._rim(), hot=moving, through=True)
        pencil.quiet_line("axis", np.array([foot, top]), over=True)
        seat = self._seat_knob()
        pencil.line("seat", self._seat_ring(), width=1.2, hot=hot == "seat", through=True)
        pencil.knob("seat", seat, hot=hot == "seat", filled=False)
        pencil.knob("place", top, hot=moving)
        if hot:
            pencil.sheet("cutter", self._cutter(float(top[2])), 0.30)
        pencil.label("thickness", seat, self._told(), (60.0, 0.0))
        if self.bench.dragged.startswith("place"):
            where = f"{self.bench.text(shape.x)}, {self.bench.text(shape.y)}"
            pencil.label("where", top, where, (0.0, -26.0))

    def _told(self) -> str:
        """Say how thick the seat is."""
        assert self.state is not None
        under = self._under(self.state)
        return f"seat {self.bench.text(under)}" if under > 0.0 else "no seat here"

    def _move_to(self, before: Place, x: float, y: float) -> None:
        if self._depths is not None:
            x, y = self._depths.on_back(x, y)
        x, y = round(x, 2) + 0.0, round(y, 2) + 0.0
        self.state = self._seated(replace(before, shape=replace(before.shape, x=x, y=y)))

    def _drag_seat(self, before: Place, event: ToolEvent) -> None:
        """Set the thickness where that is asked for, else the depth below the surface on the axis."""
        shape = before.shape
        underside = shape.seat - self._under(before)
        surface = float(self._tops(np.array([[shape.x, shape.y]]))[0])
        least, most = underside + LEAST_UNDER, max(surface - LEAST_UNDER, underside + 2 * LEAST_UNDER)
        wanted = float(np.clip(shape.seat + self.bench.travel(event, UP), least, most))
        if before.rule.by == "thickness":
            under = self.bench.snapped(wanted - underside, 0.5, event)
            rule = replace(before.rule, under_seat=max(under, LEAST_UNDER))
        else:
            depth = self.bench.snapped(surface - wanted, 0.5, event)
            rule = replace(before.rule, by="depth", depth=max(depth, LEAST_UNDER))
        self.state = self._seated(replace(before, rule=rule))

    def _sized(self, values: CutBoreParameters, x: float, y: float) -> Place | None:
        """Give the bore's sizes from the catalogue; None where it has no such rows."""
        try:
            screw = self.bench.catalogue.screw(values.screw)
            washer = self.bench.catalogue.washer(values.washer) if values.washer is not None else None
        except HoldwrightError:
            return None
        allowance = values.hole_allowance
        shape = BoreShape(
            x,
            y,
            0.0,
            screw.clearance(values.fit) + allowance,
            pocket_diameter(screw, washer) + allowance,
            washer.outer if washer else screw.head.diameter,
        )
        stack = screw.head.height + (washer.thickness if washer else 0.0)
        rule = SeatRule(values.seat, values.under_seat, stack + values.head_below, values.depth)
        return Place(shape, rule)

    def _seated(self, place: Place) -> Place:
        """Set the seat as the step itself will."""
        if self._depths is None:
            return place
        try:
            _, seat = self._depths.site(place.shape).seat_heights(place.rule)
        except HoldwrightError:
            return place
        return replace(place, shape=replace(place.shape, seat=seat))

    def _under(self, place: Place) -> float:
        """Give the least thickness under the seat's ring, mm; 0 where part of it has no material."""
        if self._depths is None:
            return place.shape.seat
        site = self._depths.site(place.shape)
        low, _ = site.stretch(max(place.shape.seat - 1e-3, 0.0))
        under = low[site.ring]
        if not len(under) or np.isnan(under).any():
            return 0.0
        return place.shape.seat - float(under.max())

    @property
    def _depths(self) -> DepthMap | None:
        """The hold as it enters the step, as columns; made when first asked for."""
        if self._map is None and self._surface is not None:
            self._map = DepthMap.of(self._surface)
        return self._map

    def _tops(self, places: Floats) -> Floats:
        return self._depths.tops(places) if self._depths is not None else np.zeros(len(places))

    def _rim(self) -> Floats:
        """Give the pocket's edge as it lies on the surface."""
        assert self.state is not None
        shape = self.state.shape
        line = ring(np.array([shape.x, shape.y, 0.0]), UP, shape.pocket_diameter / 2)
        line[:, 2] = np.maximum(self._tops(line[:, :2]), shape.seat)
        return line

    def _top(self) -> Floats:
        """Give where the axis leaves the hold."""
        assert self.state is not None
        shape = self.state.shape
        height = float(self._tops(np.array([[shape.x, shape.y]]))[0])
        return np.array([shape.x, shape.y, max(height, shape.seat + 1.0)])

    def _seat_ring(self) -> Floats:
        """Give the edge of what presses on the seat."""
        assert self.state is not None
        shape = self.state.shape
        return ring(np.array([shape.x, shape.y, shape.seat]), UP, shape.ring_diameter / 2)

    def _seat_knob(self) -> Floats:
        """Give that edge's place farthest to the right as it is seen now."""
        line = self._seat_ring()
        return np.asarray(line[int(np.argmax(self.bench.lens.project(line)[:, 0]))])

    def _cutter(self, top: float) -> Mesh:
        assert self.state is not None
        shape = self.state.shape
        hole, pocket = shape.clearance_diameter / 2, shape.pocket_diameter / 2
        end = max(top, float(self._rim()[:, 2].max())) + 1.0
        profile = [(hole, 0.0), (hole, shape.seat), (pocket, shape.seat), (pocket, end)]
        return turned(profile, np.array([shape.x, shape.y, 0.0]), UP)
