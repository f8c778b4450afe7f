"""The handles of a step that cuts holes: each is moved by its ring on the surface, and leaned by a knob."""

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, ClassVar, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.errors import HoldwrightError
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.gui.handles import hole_shapes
from holdwright.gui.handles.grip import Grasp, Grip
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.gui.viewport.view_camera import Lens
from holdwright.hold.feature import Bore, ScrewHole
from holdwright.operations.hole_step import HoleOperation, SeatedHole
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.views.display_results import Surface

NUDGE: Final = 1.0
FINE_NUDGE: Final = 0.1
"""How far an arrow key moves the holes, mm; the lesser with Shift."""
STEP: Final = 0.5
"""Distance between the columns by which the back is known, mm; more on holds above 300 mm."""
MOVE: Final = Qt.CursorShape.SizeAllCursor

_ON_BACK: Final = 0.05
"""A column starts on the back where it starts no higher above it, mm."""
_ARROWS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


class EnteringHold:
    """The hold as it enters the step, finished back on z = 0, mm."""

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.mesh = surface.mesh

    @cached_property
    def _columns(self) -> Columns:
        low, high = self.mesh.bounds[:, :2]
        step = STEP * max(1.0, float((high - low).max()) / 300.0)
        return columns(self.mesh, Grid.over(low - step, high + step, step))

    def on_back(self, x: float, y: float) -> tuple[float, float]:
        """Give the place on the back nearest to one on the wall: itself where that is on it."""
        grid = self._columns.grid
        with np.errstate(invalid="ignore"):
            rows, cols = np.nonzero(self._columns.first[0] < _ON_BACK)
        if not len(rows):
            return x, y
        row, column = round((y - grid.y) / grid.step), round((x - grid.x) / grid.step)
        if ((rows == row) & (cols == column)).any():
            return x, y
        near = int(np.argmin((grid.x + cols * grid.step - x) ** 2 + (grid.y + rows * grid.step - y) ** 2))
        return float(grid.x + cols[near] * grid.step), float(grid.y + rows[near] * grid.step)

    def foot_under(self, x: float, y: float, lens: Lens, axis: Floats) -> Floats:
        """Give the foot (2,) on the back of a hole that comes out of the hold as near to a pixel as can be.

        Of several such, one behind the other, the first counts.
        """
        slope = axis[:2] / axis[2]
        heads = self._heads
        heads = heads[self._is_on_back(heads[:, :2] - slope * heads[:, 2:])]
        if not len(heads):
            return np.asarray(on_level(lens.ray(x, y), np.zeros(3))[:2])
        seen = lens.project(heads)
        away = np.hypot(seen[:, 0] - x, seen[:, 1] - y)
        # Nearer than the grid's points are to each other, which of them it is says nothing.
        grain = 0.75 * self._columns.grid.step / lens.mm_per_pixel(heads[int(away.argmin())])
        near = np.flatnonzero(away <= away.min() + grain)
        head = heads[near[int(seen[near, 2].argmin())]]
        if away.min() <= grain:
            head = on_level(lens.ray(x, y), head)
        return np.asarray(head[:2] - slope * head[2])

    @cached_property
    def _heads(self) -> Floats:
        """Where upright holes from the back come out of the hold first, (n, 3)."""
        tops = self._columns.first[1]
        return np.column_stack([*(each[~np.isnan(tops)] for each in (*self._columns.grid.places, tops))])

    def _is_on_back(self, places: Floats) -> Mask:
        grid = self._columns.grid
        cols, rows = np.rint((places - (grid.x, grid.y)) / grid.step).astype(int).T
        within = (rows >= 0) & (rows < grid.rows) & (cols >= 0) & (cols < grid.columns)
        with np.errstate(invalid="ignore"):
            within[within] = (self._columns.first[0] < _ON_BACK)[rows[within], cols[within]]
        return np.asarray(within)


@dataclass(frozen=True)
class Placement:
    """A step's holes as the pointer moves them."""

    values: Any
    """The step's parameters as the recipe would have them."""
    x: float
    y: float
    """Where the hole is, or the middle of several, mm."""
    holes: tuple[SeatedHole, ...]
    """As the step would cut them."""

    def as_cut(self, features: Sequence[Bore | ScrewHole]) -> "Placement":
        """Take the seats of the holes that the step cut, where they are at the same places."""
        if [(each.hole.x, each.hole.y) for each in self.holes] != [(each.x, each.y) for each in features]:
            return self
        return replace(self, holes=tuple(_at_seat(*pair) for pair in zip(self.holes, features, strict=True)))


class HoleHandles(StepHandles[Placement | None]):
    """Draws the holes of a step where they go."""

    step_operation: ClassVar[HoleOperation[Any]]
    """Gives the preview."""
    feature: ClassVar[type[Bore] | type[ScrewHole]]
    """Class of what the step records."""
    opacity: ClassVar[tuple[float, float]]
    """Of the cutter drawn, while no grip is under the pointer, and while one is."""
    lean_fixes_place: ClassVar[bool] = False
    """Whether leaning fixes the place, since a search would put a leaning hole elsewhere."""

    _hold: EnteringHold | None = None

    @abstractmethod
    def lean_knob(self, state: Placement) -> Floats:
        """Give the place (3,) of the knob that leans the axis."""

    @abstractmethod
    def lean_text(self, state: Placement) -> str:
        """Say how the axis leans; blank for nothing now."""

    @abstractmethod
    def leaned(self, before: Placement, knob: Floats, *, free: bool) -> tuple[float, float]:
        """Give tilt and direction, degrees, for a place of the knob; `free` of whole steps."""

    def read(self) -> Placement | None:
        """Take place and sizes from the recipe, or from what was found."""
        values, surface = self.values, self.frames.entering_surface
        if surface is None:
            return None
        if self._hold is None or surface is not self._hold.surface:
            self._hold = EnteringHold(surface)
        cut = self._cut()
        x, y = values.at
        if values.place == "found":
            if not cut:
                return None
            x, y = np.mean([(each.x, each.y) for each in cut], axis=0).tolist()
        placement = self._placed(values, x, y)
        if placement is None or not self.document.is_current(self.step_id):
            return placement
        return placement.as_cut(cut)

    def _placed(self, values: Parameters, x: float, y: float) -> Placement | None:
        """Give the holes at a place, mm; None where the catalogue has no such rows."""
        if self._hold is None:
            return None
        hold, catalogue = self._hold, self.catalogue
        try:
            holes = self.step_operation.preview(values, catalogue, x, y, hold.mesh)
        except HoldwrightError:
            return None
        return Placement(values, x, y, holes)

    def _change(self, before: Placement, **changes: float | str) -> None:
        """Set values of the step."""
        self.state = self._placed(before.values.model_copy(update=changes), before.x, before.y) or before

    def on_back(self, x: float, y: float) -> tuple[float, float]:
        """Give the place on the back nearest to (x, y), mm."""
        return self._hold.on_back(x, y) if self._hold is not None else (x, y)

    def grips(self) -> Sequence[Grip]:
        """Give each ring on the surface with its knob, and the knob that leans all."""
        if self.state is None:
            return ()
        found = [grip for seated in self.state.holes for grip in self.hole_grips(seated)]
        return (*found, Grip("lean", self.lean_knob(self.state)[None], MOVE))

    def hole_grips(self, seated: SeatedHole) -> Sequence[Grip]:
        """Give the grips of one hole."""
        return (
            Grip("place-knob", hole_shapes.top(seated)[None], MOVE),
            Grip("place", hole_shapes.rim(seated), MOVE),
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Move the holes over the back, or lean their axis."""
        before, held = self.before, self.held
        if before is None or held is None:
            return
        if grip.name == "lean":
            free = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
            tilt, toward = self.leaned(
                before, self.lean_knob(before) + self._level_way(held, event), free=free
            )
            self._change(before, tilt=tilt, toward=toward)
            return
        way = self._way_over_hold(before, held, event)
        x, y = before.x + float(way[0]), before.y + float(way[1])
        self._move_to(before, self.snapped(x, 0.1, event), self.snapped(y, 0.1, event))

    def _level_way(self, held: Grasp, event: ToolEvent) -> Floats:
        """Give the way (3,) of the pointer on the level plane through what it took hold of."""
        return on_level(event.ray(), held.place) - on_level(self.lens.ray(held.x, held.y), held.place)

    def _way_over_hold(self, before: Placement, held: Grasp, event: ToolEvent) -> Floats:
        """Give the way (2,) of the feet that keeps what was taken under the pointer."""
        if self._hold is None:
            return np.zeros(2)
        heads = np.array([hole_shapes.top(each) for each in before.holes])
        which = int(np.linalg.norm(heads - held.place, axis=1).argmin())
        hole, knob = before.holes[which].hole, self.lens.project(heads[which])[0]
        x, y = event.x - held.x + float(knob[0]), event.y - held.y + float(knob[1])
        return self._hold.foot_under(x, y, self.lens, np.array(hole.axis)) - (hole.x, hole.y)

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place, or the lean."""
        if self.state is None:
            return {}
        values, place = self.state.values, {"place": "at", "at": (self.state.x, self.state.y)}
        lean = {"tilt": values.tilt, "toward": values.toward} if grip.name == "lean" else {}
        return lean if lean and not self.lean_fixes_place else place | lean

    def nudge(self, event: QKeyEvent) -> bool:
        """Nudge the holes with the arrow keys, as they point on the screen; nudges in a row are one edit."""
        arrow = _ARROWS.get(Qt.Key(event.key()))
        if arrow is None or self.state is None:
            return False
        fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        by = FINE_NUDGE if fine else NUDGE
        mirrored = self.lens.pose.frame[0][0] < 0.0
        x = self.state.x + by * arrow[0] * (-1.0 if mirrored else 1.0)
        self._move_to(self.state, x, self.state.y + by * arrow[1])
        self.edit(self.drop(Grip("place", np.zeros((1, 3)))), tag=f"{self.step_id}.nudge")
        return True

    def draw(self) -> None:
        """Draw the holes, the knob that leans them, and while dragging where they are."""
        if self.state is None:
            return
        for number, seated in enumerate(self.state.holes):
            self.draw_hole(seated, f" {number}" if number else "")
        self._draw_lean(self.state)
        if self.dragged.startswith("place"):
            where = f"{self.text(self.state.x)}, {self.text(self.state.y)}"
            self.painter.label("where", hole_shapes.top(self.state.holes[0]), where, (0.0, -26.0))

    def draw_hole(self, seated: SeatedHole, which: str) -> None:
        """Draw one hole's ring, axis and cutter; its names end in `which`."""
        painter, hot, head = self.painter, self.hot, hole_shapes.top(seated)
        moving = hot in ("place", "place-knob")
        painter.line(f"place{which}", hole_shapes.rim(seated), hot=moving, through=True)
        painter.quiet_line(f"axis{which}", np.array([seated.hole.foot, head]), over=True)
        painter.knob(f"place{which}", head, hot=moving)
        if opacity := self.opacity[bool(hot)]:
            painter.sheet(f"cutter{which}", hole_shapes.cutter(seated), opacity)

    def _draw_lean(self, state: Placement) -> None:
        """Draw the knob that leans the axis, and how far it leans."""
        knob = self.lean_knob(state)
        self.painter.quiet_line("lean", np.array([hole_shapes.top(state.holes[0]), knob]), over=True)
        self.painter.knob("lean", knob, hot=self.hot == "lean", filled=False)
        if text := self.lean_text(state):
            self.painter.label("leans", knob, text)

    def _cut(self) -> list[Bore | ScrewHole]:
        """Give the holes that the step itself cut, where they are what is shown."""
        return [each for each in self.frames.own_features if isinstance(each, self.feature)]

    def _move_to(self, before: Placement, x: float, y: float) -> None:
        """Move the holes, staying on the back with each of them."""
        for each in before.holes:
            along, up = each.hole.x - before.x, each.hole.y - before.y
            to_x, to_y = self.on_back(x + along, y + up)
            x, y = to_x - along, to_y - up
        self.state = self._placed(before.values, round(x, 2) + 0.0, round(y, 2) + 0.0) or before


def _at_seat(seated: SeatedHole, cut: Bore | ScrewHole) -> SeatedHole:
    under = seated.under and seated.under + cut.seat - seated.hole.seat
    return replace(seated, hole=replace(seated.hole, seat=cut.seat), under=under)
