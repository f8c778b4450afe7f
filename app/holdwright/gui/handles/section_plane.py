"""The plane of section, taken by its rim or its knob and slid along its normal."""

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.ghost_drawing import FINE, GhostPainter
from holdwright.gui.handles.grip import Grasp, Grip, grasp, travel
from holdwright.gui.handles.pointer_projection import END_ON
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.viewport import Viewport

_UP: Final = np.array([0.1, 1.0, -0.5])
"""The knob is at the corner furthest along this: above, and at the wall, where it comes before nothing."""


class SectionPlane(Tool[Viewport]):
    """Stands in the view while it is cut open; what is dragged is the view's alone, not the recipe's.

    Parameters
    ----------
    slide_to
        Called while dragging with (3,) a place in mm the plane shall go through.
    """

    def __init__(self, slide_to: Callable[[Floats], None]) -> None:
        self._slide_to = slide_to
        self._held: Grasp | None = None
        self._axis = np.array([0.0, 0.0, 1.0])
        self._began = np.zeros(3)
        self._hot = False

    def start(self, viewport: Viewport) -> None:
        """Start in a view."""
        super().start(viewport)
        self._painter = GhostPainter(viewport, "section")
        self.refresh()

    def finish(self) -> None:
        """Take rim and knob away."""
        self._painter.clear()

    def refresh(self) -> None:
        """Draw rim and knob where the plane is now."""
        self._painter.begin()
        if grips := self.grips:
            hot, (rim, knob) = self._hot or self._held is not None, grips
            if hot:
                self._painter.line("rim", rim.points, width=FINE, hot=hot)
            else:
                self._painter.quiet_line("rim", rim.points)
            self._painter.knob("grip", knob.points, hot=hot)
        else:
            self._held = None
        self._painter.end()

    @property
    def grips(self) -> tuple[Grip, ...]:
        """The closed rim and the knob on it; none while nothing is cut open."""
        section, points = self.viewport.section, self.viewport.scene.points
        if section is None or not len(points):
            return ()
        rim = _rim_round(points, *section)
        return (Grip("rim", rim), Grip("knob", rim[int(np.argmax(rim @ _UP))][None]))

    def reaches(self, event: ToolEvent) -> bool:
        """Tell whether the pointer is on the rim or the knob."""
        return self._grasp(event) is not None

    def press(self, event: ToolEvent) -> bool:
        """Take hold."""
        section, self._held = self.viewport.section, self._grasp(event)
        if section is None or self._held is None:
            return False
        self._began, self._axis = section
        self.viewport.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.refresh()
        return True

    def move(self, event: ToolEvent) -> bool:
        """Slide the plane."""
        if self._held is None:
            return False
        self._slide_to(self._began + self._axis * self._travel(self._held, event))
        return True

    def release(self, event: ToolEvent) -> bool:
        """Let go."""
        self._held = None
        self._set_hot(self.reaches(event))
        return True

    def hover(self, event: ToolEvent) -> None:
        """Show that the pointer could take hold here."""
        self._set_hot(self.reaches(event))

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self._held is None:
            self._set_hot(hot=False)

    def key(self, event: QKeyEvent) -> bool:
        """Put the plane back on Escape while it is dragged."""
        if event.key() != Qt.Key.Key_Escape or self._held is None:
            return False
        self._held = None
        self._slide_to(self._began)
        self._set_hot(hot=False)
        return True

    def _grasp(self, event: ToolEvent) -> Grasp | None:
        return grasp(self.grips, event.x, event.y, self.viewport.lens)

    def _travel(self, held: Grasp, event: ToolEvent) -> float:
        """Give how far the pointer has gone along the normal, mm; down where that points away."""
        way = travel(held, event, self._axis, self.viewport.lens)
        return -way if float(self._axis @ event.ray()[1]) > END_ON else way

    def _set_hot(self, hot: bool) -> None:
        if hot:
            self.viewport.setCursor(Qt.CursorShape.OpenHandCursor)
        elif self._hot:
            self.viewport.unsetCursor()
        self._hot = hot
        self.refresh()


def _rim_round(points: Floats, origin: Floats, normal: Floats) -> Floats:
    """Give a rectangle in a plane, a margin wider than the shadow of some points on it."""
    up = np.array([0.0, 1.0, 0.0]) if abs(normal[1]) < 0.9 else np.array([0.0, 0.0, 1.0])
    aside = np.cross(up, normal)
    aside /= np.linalg.norm(aside)
    up = np.cross(normal, aside)
    margin = 0.06 * float(np.ptp(points, axis=0).max())
    flat = (points - origin) @ np.stack([aside, up], axis=1)
    low, high = flat.min(axis=0) - margin, flat.max(axis=0) + margin
    corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]), (low[0], low[1])]
    return np.array([origin + aside * x + up * y for x, y in corners])
