"""What mouse, wheel and keys do to the camera, and its short moves from one view to another."""

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import QEasingCurve, QObject, Qt, QVariantAnimation

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.projection import Projection
from holdwright.gui.viewport.view_camera import FIRST, Pose

DEGREES_PER_PIXEL: Final = 0.4
DEGREES_PER_KEY: Final = 7.5
ZOOM_PER_NOTCH: Final = 0.85

_KEYS: Final = {
    Qt.Key.Key_Left: (-DEGREES_PER_KEY, 0.0),
    Qt.Key.Key_Right: (DEGREES_PER_KEY, 0.0),
    Qt.Key.Key_Up: (0.0, DEGREES_PER_KEY),
    Qt.Key.Key_Down: (0.0, -DEGREES_PER_KEY),
}
_CLOSER: Final = {
    Qt.Key.Key_Plus: ZOOM_PER_NOTCH,
    Qt.Key.Key_Equal: ZOOM_PER_NOTCH,
    Qt.Key.Key_Minus: 1 / ZOOM_PER_NOTCH,
}


class Navigation:
    """Turns drags, wheel and keys into poses.

    Parameters
    ----------
    take
        Takes each new pose.
    """

    def __init__(self, projection: Projection, take: Callable[[Pose], None]) -> None:
        self._projection = projection
        self._take = take
        self._last = (0.0, 0.0)
        self._panning = False
        self._grasped: Floats | None = None

    def press(self, x: float, y: float, button: Qt.MouseButton, modifiers: Qt.KeyboardModifier) -> None:
        """Begin a drag: left turns, middle, right or with Shift shifts."""
        self._last = (x, y)
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        self._panning = button != Qt.MouseButton.LeftButton or shift
        self._grasped = self._projection.point_under(x, y) if self._panning else None

    def move(self, x: float, y: float) -> None:
        """Go on with a drag."""
        lens = self._projection.lens
        right, down = x - self._last[0], y - self._last[1]
        self._last = (x, y)
        if self._panning:
            scale = lens.mm_per_pixel(lens.pose.target if self._grasped is None else self._grasped)
            self._take(lens.pose.moved(-right * scale, down * scale))
        else:
            self._take(lens.pose.turned(-right * DEGREES_PER_PIXEL, down * DEGREES_PER_PIXEL))

    def wheel(self, x: float, y: float, notches: float) -> None:
        """Move toward what lies under the pointer, or away from it."""
        lens = self._projection.lens
        place = self._projection.point_under(x, y)
        if place is None:
            place = lens.on_plane(x, y, lens.pose.target, lens.pose.frame[2])
        self._zoom(lens.pose.target if place is None else place, ZOOM_PER_NOTCH**notches)

    def pinch(self, x: float, y: float, factor: float) -> None:
        """Follow two fingers that spread (above 1) or close."""
        self.wheel(x, y, float(np.log(1 / max(factor, 0.01)) / np.log(ZOOM_PER_NOTCH)))

    def key(self, key: Qt.Key) -> bool:
        """Follow a key, and tell whether it is one of the camera's."""
        pose = self._projection.pose
        if key in _KEYS:
            self._take(pose.turned(*_KEYS[key]))
        elif key in _CLOSER:
            self._zoom(pose.target, _CLOSER[key])
        else:
            return False
        return True

    def _zoom(self, place: Floats, factor: float) -> None:
        pose, size = self._projection.pose, self._projection.size
        distance = float(np.clip(pose.distance * factor, 0.15 * size, 12.0 * size))
        self._take(pose.closer(place, distance / pose.distance))


class CameraAnimation(QVariantAnimation):
    """Moves the camera in a few frames.

    Parameters
    ----------
    take
        Takes the pose of each frame.
    """

    def __init__(self, take: Callable[[Pose], None], parent: QObject) -> None:
        super().__init__(parent)
        self._poses = (FIRST, FIRST)
        self.setStartValue(0.0)
        self.setEndValue(1.0)
        self.setDuration(150)  # ms
        self.setEasingCurve(QEasingCurve.Type.InOutCubic)
        self.valueChanged.connect(lambda share: take(self._poses[0].toward(self._poses[1], float(share))))

    @property
    def target(self) -> Pose | None:
        """Where the camera is heading; None while it stands."""
        return self._poses[1] if self.state() == self.State.Running else None

    def go(self, start: Pose, end: Pose) -> None:
        """Move the camera; a move under way is given up for it."""
        self.stop()
        self._poses = (start, end)
        self.start()
