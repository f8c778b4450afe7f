"""The plane of section, taken by its rim or its knob and slid along its normal."""

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.ghost_drawing import FINE, GhostPainter
from holdwright.gui.handles.grip import Grasp, Grip, grasp
from holdwright.gui.handles.pointer_projection import along_axis, is_end_on
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.painting import tones

MARGIN: Final = 0.06
"""How far the rim stands off the hold, of the hold's extent."""

_UP: Final = np.array([0.1, 1.0, -0.5])
"""The knob is at the corner furthest along this: above, and at the wall, where it comes before nothing."""


class SectionPlane(Tool[Viewport]):
    """Stands in the view while it is cut open; what is dragged is the view's alone, not the recipe's.

    Parameters
    ----------
    slide_to
        Called while dragging with (3,) a place in mm the plane is wanted through.
    """

    name = "section"

    def __init__(self, slide_to: Callable[[Floats], None]) -> None:
        self._slide_to = slide_to
        self._held: Grasp | None = None
        self._axis = np.array([0.0, 0.0, 1.0])
        self._began = np.zeros(3)
        self._hot = False

    def start(self, viewport: Viewport) -> None:
        """Start in a view."""
        super().start(viewport)
        self._pencil = GhostPainter(viewport.overlay, "section", tones(viewport))
        self.refresh()

    def finish(self) -> None:
        """Take rim and knob away."""
        self._pencil.clear()

    def refresh(self) -> None:
        """Draw rim and knob where the plane is now."""
        self._pencil.tones = tones(self.viewport)
        self._pencil.begin()
        rim = self.rim
        if rim is not None:
            hot = self._hot or self._held is not None
            if hot:
                self._pencil.line("rim", rim, width=FINE, hot=hot)
            else:
                self._pencil.quiet_line("rim", rim)
            self._pencil.knob("grip", _knob_of(rim), hot=hot)
        elif self._held is not None:
            self._held = None
        self._pencil.end()

    @property
    def rim(self) -> Floats | None:
        """(5, 3) the closed rim, mm; None while nothing is cut open."""
        section, points = self.viewport.section, self.viewport.scene.points
        return _rim_round(points, *section) if section is not None and len(points) else None

    @property
    def knob(self) -> Floats | None:
        """(3,) the knob's place, mm; None while nothing is cut open."""
        rim = self.rim
        return None if rim is None else _knob_of(rim)

    def reaches(self, event: ToolEvent) -> bool:
        """Tell whether the pointer is on the rim or the knob."""
        return self._met(event) is not None

    def press(self, event: ToolEvent) -> bool:
        """Take hold."""
        section, self._held = self.viewport.section, self._met(event)
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
        self._warm(self.reaches(event))
        return True

    def hover(self, event: ToolEvent) -> None:
        """Show that the pointer could take hold here."""
        self._warm(self.reaches(event))

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self._held is None:
            self._warm(hot=False)

    def key(self, event: QKeyEvent) -> bool:
        """Put the plane back on Escape while it is dragged."""
        if event.key() != Qt.Key.Key_Escape or self._held is None:
            return False
        self._held = None
        self._slide_to(self._began)
        self._warm(hot=False)
        return True

    def _met(self, event: ToolEvent) -> Grasp | None:
        rim = self.rim
        if rim is None:
            return None
        grips = (Grip("rim", rim), Grip("knob", _knob_of(rim)[None]))
        return grasp(grips, event.x, event.y, self.viewport.lens)

    def _travel(self, held: Grasp, event: ToolEvent) -> float:
        """Give how far the pointer has gone along the normal, mm; seen from its end, up is along it."""
        lens = self.viewport.lens
        if is_end_on(event.ray(), self._axis):
            toward = -1.0 if float(self._axis @ event.ray()[1]) > 0 else 1.0
            return toward * (held.y - event.y) * lens.mm_per_pixel(held.place)
        began = along_axis(lens.ray(held.x, held.y), held.place, self._axis)
        return along_axis(event.ray(), held.place, self._axis) - began

    def _warm(self, hot: bool) -> None:
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
    margin = MARGIN * float(np.ptp(points, axis=0).max())
    flat = (points - origin) @ np.stack([aside, up], axis=1)
    low, high = flat.min(axis=0) - margin, flat.max(axis=0) + margin
    corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]), (low[0], low[1])]
    return np.array([origin + aside * x + up * y for x, y in corners])


def _knob_of(rim: Floats) -> Floats:
    return np.asarray(rim[int(np.argmax(rim @ _UP))])
