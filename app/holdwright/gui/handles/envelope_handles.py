"""The envelope, true to size: drag its circle, or a side of its box."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import scaling
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.shapes import SIDES, box_edges, ring
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.operations.scale_to_envelope import ScaleToEnvelopeParameters

UP: Final = np.array([0.0, 0.0, 1.0])

KNOB_AT: Final = SIDES // 8
"""Where on the circle its knob is: to the right and up."""

_BOX: Final = ("box_x", "box_y", "box_z")


@dataclass(frozen=True)
class Sizes:
    """What the recipe asks for: the rule, and the sizes by their fields' names, mm."""

    rule: str
    sizes: Mapping[str, float]


class EnvelopeHandles(StepHandles[Sizes]):
    """Draws the envelope the hold is scaled to."""

    operation = "scale_to_envelope"

    values: ScaleToEnvelopeParameters

    def read(self) -> Sizes:
        """Take the sizes from the recipe."""
        fields = ("diameter", "length", *_BOX)
        return Sizes(self.values.rule, {name: float(getattr(self.values, name)) for name in fields})

    def grips(self) -> Sequence[Grip]:
        """Give the circle's edge and a knob on it, or a knob on each side that is sized."""
        if not self.frames.own:
            return ()
        if self.state.rule == "circle":
            edge = ring(np.zeros(3), UP, self.state.sizes["diameter"] / 2)
            size = Qt.CursorShape.SizeAllCursor
            return (Grip("circle-knob", edge[KNOB_AT][None], size), Grip("circle", edge, size))
        return tuple(
            Grip(f"{name}{'+' if sign > 0 else '-'}", self._face(axis, sign)[None], _cursor(axis))
            for name, axis in self._sized()
            for sign in ((1,) if axis == 2 else (1, -1))
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Follow the pointer with a diameter, or with a side's distance from the middle."""
        if self.before is None:
            return
        if self.state.rule == "circle":
            field, size = "diameter", 2.0 * float(np.hypot(*on_level(event.ray(), np.zeros(3))[:2]))
        else:
            field = grip.name[:-1]
            axis = dict(self._sized())[field]
            sign = 1.0 if grip.name[-1] == "+" else -1.0
            way = self.travel(event, np.eye(3)[axis] * sign)
            size = self.before.sizes[field] + (way if axis == 2 else 2.0 * way)
        # The sizes the pointer can give, mm.
        size = self.snapped(float(np.clip(size, 5.0, 5000.0)), 1.0, event)
        self.state = replace(self.state, sizes={**self.state.sizes, field: size})

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the size that was dragged."""
        field = "diameter" if self.state.rule == "circle" else grip.name[:-1]
        return {field: self.state.sizes[field]}

    def draw(self) -> None:
        """Draw the circle with its diameter, or the box with its sides."""
        if not self.frames.own:
            return
        if self.state.rule == "circle":
            self._draw_circle()
        elif self._sized():
            self._draw_box()
        if (factor := self._factor()) != 1.0:
            self.draw_moved("scaled", scaling(factor))

    def _factor(self) -> float:
        """Give by how much the pointer has made the hold larger than it is shown."""
        if self.before is None:
            return 1.0
        if self.state.rule == "circle":
            return self.state.sizes["diameter"] / self.before.sizes["diameter"]
        low, high = self._extent()
        fits = [self.state.sizes[name] / float(high[axis] - low[axis]) for name, axis in self._sized()]
        return min(fits, default=1.0)

    def _draw_circle(self) -> None:
        radius = self.state.sizes["diameter"] / 2
        edge = ring(np.zeros(3), UP, radius)
        hot = self.hot in ("circle", "circle-knob")
        self.painter.line("circle", edge, hot=hot)
        self.painter.knob("circle", edge[KNOB_AT], hot=hot)
        self.painter.label("size", edge[KNOB_AT], f"⌀ {self.text(2 * radius)}", (52.0, -14.0))

    def _draw_box(self) -> None:
        low, high = self._box()
        self.painter.quiet_line("box", box_edges(low, high), width=1.0)
        for name, axis in self._sized():
            for sign in (1,) if axis == 2 else (1, -1):
                grip = f"{name}{'+' if sign > 0 else '-'}"
                self.painter.line(f"{grip}-side", self._side(axis, sign), hot=self.hot == grip, through=True)
                self.painter.knob(grip, self._face(axis, sign), hot=self.hot == grip)
            self.painter.label(name, self._face(axis, 1), self.text(self.state.sizes[name]), (0.0, -26.0))

    def _sized(self) -> tuple[tuple[str, int], ...]:
        """Give the fields that tell a side's length, with the axis of each."""
        if self.state.rule == "box":
            return tuple((name, axis) for axis, name in enumerate(_BOX) if self.state.sizes[name] > 0.0)
        axis_of = {"width": 0, "height": 1, "depth": 2}.get(self.state.rule)
        return (("length", axis_of),) if axis_of is not None else ()

    def _extent(self) -> tuple[Floats, Floats]:
        """Give the corners of the hold as it is shown."""
        surface = self.frames.shown_surface
        points = np.zeros((1, 3)) if surface is None else surface.vertices
        return points.min(axis=0).astype(np.float64), points.max(axis=0).astype(np.float64)

    def _box(self) -> tuple[Floats, Floats]:
        """Give the corners of the box requested; free sides are the hold's own."""
        low, high = self._extent()
        for name, axis in self._sized():
            size = self.state.sizes[name]
            middle = (low[axis] + high[axis]) / 2
            low[axis] = low[axis] if axis == 2 else middle - size / 2
            high[axis] = low[axis] + size
        return low, high

    def _face(self, axis: int, sign: int) -> Floats:
        """Give the middle of a side of the box."""
        low, high = self._box()
        place = (low + high) / 2
        place[axis] = high[axis] if sign > 0 else low[axis]
        return place

    def _side(self, axis: int, sign: int) -> Floats:
        """Give the outline of a side of the box, (5, 3)."""
        low, high = self._box()
        corners = np.roll([[0, 0, 0], [0, 1, 0], [0, 1, 1], [0, 0, 1], [0, 0, 0]], axis, axis=1)
        corners[:, axis] = sign > 0
        return np.where(corners, high, low)


def _cursor(axis: int) -> Qt.CursorShape:
    return (Qt.CursorShape.SizeHorCursor, Qt.CursorShape.SizeVerCursor, Qt.CursorShape.SizeAllCursor)[axis]
