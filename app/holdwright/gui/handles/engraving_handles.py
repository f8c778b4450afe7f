"""The letters on the back: drag them to another place."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Engraving
from holdwright.operations.engrave_back import EngraveBackParameters

_AIR = 1.0
"""How far the frame drawn stands off the letters, mm."""


@dataclass(frozen=True)
class Spot:
    """Where the letters stand on the back, mm, and how they were cut; None where they were not."""

    x: float
    y: float
    made: Engraving | None

    @property
    def frame(self) -> Floats:
        """The rectangle round the letters as a closed polyline (5, 3) on the finished back."""
        assert self.made is not None
        half = np.array(self.made.size) / 2.0 + _AIR
        corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]) * half
        return np.pad(np.add(corners, (self.x, self.y)), ((0, 0), (0, 1)))


class EngravingHandles(StepHandles[Spot]):
    """Draws a frame round the letters."""

    operation = "engrave_back"

    values: EngraveBackParameters

    def read(self) -> Spot:
        """Take the place from what the step gave."""
        made = [each for each in self.frames.own_features if isinstance(each, Engraving)]
        return Spot(made[0].x, made[0].y, made[0]) if made else Spot(*self.values.at, None)

    def grips(self) -> Sequence[Grip]:
        """Give a knob in the middle, and the frame anywhere along it."""
        if self.state.made is None:
            return ()
        size = Qt.CursorShape.SizeAllCursor
        return (Grip("knob", self._middle[None], size), Grip("frame", self.state.frame, size))

    def drag(self, grip: Grip, event: ToolEvent) -> None:  # noqa: ARG002
        """Move the letters over the back."""
        before, held = self.before, self.held
        if before is None or held is None:
            return
        way = on_level(event.ray(), held.place) - on_level(self.lens.ray(held.x, held.y), held.place)
        x, y = before.x + float(way[0]), before.y + float(way[1])
        self.state = replace(before, x=self.snapped(x, 0.5, event), y=self.snapped(y, 0.5, event))

    def drop(self, grip: Grip) -> Mapping[str, Any]:  # noqa: ARG002
        """Edit the place."""
        return {"place": "at", "at": (self.state.x, self.state.y)}

    def draw(self) -> None:
        """Draw the frame with the letters' height, and while dragging where they are."""
        if self.state.made is None:
            return
        hot = bool(self.hot)
        self.painter.line("letters", self.state.frame, hot=hot, through=True)
        self.painter.knob("letters", self._middle, hot=hot)
        text = f"letters {self.text(self.state.made.height)}"
        if self.dragged:
            text = f"{self.text(self.state.x)}, {self.text(self.state.y)}"
        self.painter.label("letters", self.state.frame[:2].mean(axis=0), text, (0.0, 16.0))

    @property
    def _middle(self) -> Floats:
        return np.array([self.state.x, self.state.y, 0.0])
