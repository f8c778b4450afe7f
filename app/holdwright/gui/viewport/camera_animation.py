"""A short move of the camera from where it is to where it should be."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEasingCurve, QObject, QVariantAnimation

from holdwright.gui.viewport.view_camera import Pose

FLIGHT_MS: Final = 150


class CameraAnimation(QObject):
    """Moves the camera in a few frames, or at once where that is preferred.

    Parameters
    ----------
    take
        Takes the pose of each frame.
    """

    def __init__(self, take: Callable[[Pose], None], parent: QObject) -> None:
        super().__init__(parent)
        self.animated = True
        self._take = take
        self._start: Pose | None = None
        self._end: Pose | None = None
        self._animation = QVariantAnimation(self)
        self._animation.setStartValue(0.0)
        self._animation.setEndValue(1.0)
        self._animation.setDuration(FLIGHT_MS)
        self._animation.setEasingCurve(QEasingCurve.Type.InOutCubic)
        self._animation.valueChanged.connect(self._step)

    def end(self) -> Pose | None:
        """Give where the camera is heading; None while it stands."""
        return self._end if self._animation.state() == QVariantAnimation.State.Running else None

    def go(self, start: Pose, end: Pose, *, animated: bool) -> None:
        """Move the camera; a flight under way is given up for it."""
        self.stop()
        self._start, self._end = start, end
        if animated and self.animated:
            self._animation.start()
        else:
            self._take(end)

    def stop(self) -> None:
        """Stay where the camera is."""
        self._animation.stop()

    def _step(self, share: float) -> None:
        if self._start is not None and self._end is not None:
            self._take(self._start.toward(self._end, float(share)))
