"""When the view moves, when it rests, and how much detail a frame can afford."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, QTimer

MOVING_LIMIT: Final = 0.1
"""Seconds a frame may take while the view moves."""

RESTING_LIMIT: Final = 0.3
"""Seconds the one frame at rest may take; a stand-in stays where it would take longer."""

UNKNOWN: Final = 200_000
"""Triangles above which the first frame is drawn coarsely, to learn how fast the machine is."""


class FrameBudget(QObject):
    """Measures frames and says how the next one is to be drawn.

    Parameters
    ----------
    settled
        Called when the view has come to rest.
    """

    def __init__(self, settled: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self.moving = False
        self._held = False
        self._redraw_at_rest = settled
        self._seen: dict[bool, tuple[int, float]] = {}
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(150)  # without a change for so long, the view is at rest
        self._timer.timeout.connect(self._rest)

    def note_motion(self) -> None:
        """Say that the view changes, and may go on changing."""
        self.moving = True
        self._timer.start()

    def hold(self, held: bool) -> None:
        """Say whether a button is held down to move the view."""
        self._held = held
        if not held:
            self.note_motion()

    def stop(self) -> None:
        """Rest without a word, for good."""
        self._timer.stop()

    def took(self, triangles: int, seconds: float) -> None:
        """Learn what a frame took."""
        before = self._seen.get(self.moving)
        if before is not None and abs(before[0] - triangles) <= 0.2 * triangles:
            seconds = 0.5 * before[1] + 0.5 * seconds
        self._seen[self.moving] = (triangles, seconds)

    def expected(self, triangles: int) -> float:
        """Guess what a frame of so many triangles takes, in seconds: half per pixel, half per triangle."""
        if not self._seen:
            return 0.0 if triangles <= UNKNOWN else float("inf")
        known = self._seen.values()
        count, seconds = min(known, key=lambda each: abs(each[0] - triangles))
        return seconds * (0.5 + 0.5 * triangles / max(count, 1))

    def coarse(self, full: int, light: int) -> bool:
        """Tell whether the next frame should be drawn from stand-ins."""
        if light >= full:
            return False
        if self.moving and self._held and full > UNKNOWN:
            return True
        return self.expected(full) > (MOVING_LIMIT if self.moving else RESTING_LIMIT)

    @property
    def quick(self) -> bool:
        """Whether frames are so cheap that they can be smoothed fully at rest."""
        return bool(self._seen) and max(seconds for _, seconds in self._seen.values()) < 0.012

    def _rest(self) -> None:
        self.moving = False
        self._redraw_at_rest()
