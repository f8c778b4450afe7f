"""The ring by which a hold is turned on the wall: a tick every 15 degrees, and a knob."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.base.wall_rotation import about_z
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.shapes import arc, ring

TICK: Final = 15
"""Degrees from one tick to the next."""

UP: Final = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class TurnRing:
    """A level ring round the origin, `radius` mm."""

    radius: float

    @property
    def line(self) -> Floats:
        """The ring as a closed polyline."""
        return ring(np.zeros(3), UP, self.radius)

    def knob(self, away: float) -> Floats:
        """Give the knob's place, `away` degrees counter-clockwise from straight up."""
        angle = np.radians(90.0 + away)
        return np.array([self.radius * np.cos(angle), self.radius * np.sin(angle), 0.0])

    def draw(self, painter: GhostPainter, away: float, *, hot: bool, moving: bool) -> None:
        """Draw ring and ticks, the way gone, and the knob."""
        painter.line("ring", self.line, hot=hot, width=1.4)
        painter.quiet_line("ticks", self._ticks(1), width=1.0)
        painter.quiet_line("quarters", self._ticks(6), width=1.8)
        painter.knob("turn", self.knob(away), hot=hot)
        if moving and away:
            painter.line("gone", arc(np.zeros(3), self.radius, 90.0, 90.0 + away), width=4.0)
            painter.quiet_line("from", np.array([[0.88], [1.0]]) * self.knob(0.0), over=True)

    def _ticks(self, every: int) -> Floats:
        """Give every so manieth tick as segments, those of the quarters longer."""
        length = 0.05 if every == 1 else 0.08
        tick = self.radius * np.array([[1.0 - length, 0.0, 0.0], [1.0, 0.0, 0.0]])
        return np.array([tick @ about_z(degrees).T for degrees in range(0, 360, TICK * every)])


def wrapped(degrees: float) -> float:
    """Give an angle between -180 (left out) and 180."""
    return -((-degrees + 180.0) % 360.0 - 180.0)
