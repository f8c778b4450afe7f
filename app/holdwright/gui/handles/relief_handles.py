"""The pocket that relieves the back: drag its outline toward the hold's edge or away from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import Outlines, along, inside, outer, signed_area
from holdwright.geometry.relief.pocket import grown
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import area_text, on_level
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import BackPocket
from holdwright.operations.relieve_back import RelieveBackParameters

_SPACING = 0.5
"""Distance between points of outlines that the pointer is measured from, mm."""


@dataclass(frozen=True, eq=False)
class Land:
    """The width of the land, mm, and the pocket as it was cut; None where it was not."""

    width: float
    made: BackPocket | None

    @property
    def pocket(self) -> Outlines:
        """Outlines of the pocket, drawn in or out by what the land has changed."""
        if self.made is None:
            return []
        return grown(self.made.drawn, self.made.land - self.width)


class ReliefHandles(StepHandles[Land]):
    """Draws the pocket's outline on the finished back."""

    operation = "relieve_back"

    values: RelieveBackParameters

    def read(self) -> Land:
        """Take the land from the recipe and the pocket from what the step gave."""
        made = [each for each in self.frames.own_features if isinstance(each, BackPocket)]
        return Land(self.values.land, made[0] if made else None)

    def grips(self) -> Sequence[Grip]:
        """Give a knob, and the outline anywhere along it."""
        lines = self._lines()
        if not lines:
            return ()
        size = Qt.CursorShape.SizeAllCursor
        return (Grip("knob", self._knob(lines)[None], size), *(Grip("outline", each, size) for each in lines))

    def drag(self, grip: Grip, event: ToolEvent) -> None:  # noqa: ARG002
        """Follow the pointer with the land's width."""
        if self.before is None or self.before.made is None:
            return
        made = self.before.made
        edges, place = outer(made.drawn), on_level(event.ray(), np.zeros(3))[:2]
        away = float(np.hypot(*(along(edges, _SPACING) - place).T).min())
        within = bool(inside(place[None], edges)[0])
        width = self.snapped(made.land + (away if within else -away), 0.5, event)
        self.state = replace(self.before, width=float(np.clip(width, 1.0, 500.0)))

    def drop(self, grip: Grip) -> Mapping[str, Any]:  # noqa: ARG002
        """Edit the land."""
        return {"land": self.state.width}

    def draw(self) -> None:
        """Draw the outline with the land's width, and while dragging the area of the pocket."""
        lines, hot = self._lines(), bool(self.hot)
        for number, line in enumerate(lines):
            self.painter.line(f"pocket {number}", line, hot=hot, through=True)
        if not lines:
            return
        knob, text = self._knob(lines), f"land {self.text(self.state.width)}"
        if self.dragged:
            area = sum(map(signed_area, self.state.pocket))
            text += f"\npocket {area_text(area, self.unit)}"
        self.painter.knob("land", knob, hot=hot)
        self.painter.label("land", knob, text, (64.0, -14.0))

    def _lines(self) -> list[Floats]:
        """Give the outlines as closed polylines (n, 3) on the finished back."""
        return [np.pad(np.vstack([each, each[:1]]), ((0, 0), (0, 1))) for each in self.state.pocket]

    def _knob(self, lines: Sequence[Floats]) -> Floats:
        return self.rightmost(np.concatenate(lines))
