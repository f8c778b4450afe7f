"""A short move of the camera from where it is to where it should be."""

from collections.abc import Callable

from PySide6.QtCore import QEasingCurve, QObject, QVariantAnimation

from holdwright.gui.viewport.view_camera import FIRST, Pose


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
