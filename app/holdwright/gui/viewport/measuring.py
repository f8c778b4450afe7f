"""Measuring between places on the hold: two give a distance, a third the angle at the second."""

from collections.abc import Callable
from itertools import pairwise
from typing import Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.viewport import Viewport

MOST: Final = 3
_NAMES: Final = ("places", "lines", "first", "second", "angle")
"""Of what is drawn: the first of one place, three of two, all of three."""


def angle_at(middle: Floats, one: Floats, other: Floats) -> float:
    """Give the angle in degrees at `middle` between the ways to two places; 0 where one lies upon it."""
    first, second = one - middle, other - middle
    scale = float(np.linalg.norm(first) * np.linalg.norm(second))
    if scale < 1e-12:
        return 0.0
    return float(np.degrees(np.arccos(np.clip(first @ second / scale, -1.0, 1.0))))


class MeasureTool(Tool[Viewport]):
    """Each click on the hold sets a place; after three the next click begins anew.

    A drag still turns the view. Backspace takes the last place back, and Escape puts the tool down.

    Parameters
    ----------
    changed
        Called whenever a place was set or taken back.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self.places: list[Floats] = []
        self._notify = changed
        self._pressed = (0.0, 0.0)

    @property
    def distances(self) -> list[float]:
        """Lengths of the ways from each place to the next, mm."""
        return [float(np.linalg.norm(stop - start)) for start, stop in pairwise(self.places)]

    @property
    def angle(self) -> float | None:
        """Degrees at the second of three places."""
        return angle_at(self.places[1], self.places[0], self.places[2]) if len(self.places) == MOST else None

    def finish(self) -> None:
        """Take lines and figures away."""
        for name in _NAMES:
            self.viewport.overlay.remove(f"measure.{name}")

    def refresh(self) -> None:
        """Draw anew in the colours of now."""
        self._draw(None)

    def press(self, event: ToolEvent) -> bool:
        """Take it, in case it becomes a click."""
        self._pressed = (event.x, event.y)
        return True

    def move(self, event: ToolEvent) -> bool:
        """Leave the drag to the camera once it is one."""
        return event.is_click(*self._pressed)

    def release(self, event: ToolEvent) -> bool:
        """Set a place, where the click was on the hold."""
        pick = None if event.again else event.pick()
        if pick is None:
            return False
        if len(self.places) == MOST:
            self.places.clear()
        self.places.append(pick.point)
        self._changed()
        return True

    def hover(self, event: ToolEvent) -> None:
        """Show what a click would measure."""
        pick = event.pick()
        self._draw(None if pick is None or len(self.places) in (0, MOST) else pick.point)

    def leave(self) -> None:
        """Show what is set alone."""
        self._draw(None)

    def key(self, event: QKeyEvent) -> bool:
        """Take the last place back with Backspace."""
        if event.key() != Qt.Key.Key_Backspace or not self.places:
            return False
        self.places.pop()
        self._changed()
        return True

    def _changed(self) -> None:
        self._draw(None)
        self._notify()

    def _draw(self, coming: Floats | None) -> None:
        overlay, accent = self.viewport.overlay, self.viewport.tones.accent
        places = [*self.places, *([coming] if coming is not None else [])]
        spots = self.viewport.scene.shown_at(np.array(places).reshape(-1, 3))
        if places:
            overlay.set_points("measure.places", spots, accent, 9.0)
        if len(places) > 1:
            overlay.set_lines("measure.lines", spots, accent, 1.8, over=True)
        for number, name in zip(range(1, len(places)), ("first", "second"), strict=False):
            text = self.viewport.length_text(float(np.linalg.norm(places[number] - places[number - 1])))
            overlay.set_label(f"measure.{name}", spots[number - 1 : number + 1].mean(axis=0), text)
        if len(places) == MOST:
            text = f"{angle_at(places[1], places[0], places[2]):.1f}°"
            overlay.set_label("measure.angle", spots[1], text, (0.0, -24.0))
        for name in _NAMES[max(2 * len(places) - 1, 0) :]:
            overlay.remove(f"measure.{name}")
