"""A window that stays on its screen, frame and all."""

from PySide6.QtCore import QPoint, QRect, QSize, QTimer
from PySide6.QtGui import QMoveEvent
from PySide6.QtWidgets import QMainWindow


class ScreenFitted(QMainWindow):
    """Fits to its screen when it is framed; `fit_to_screen` does so at any time.

    Parameters
    ----------
    smallest
        Its least size, where the screen has room for that.
    """

    def __init__(self, smallest: QSize) -> None:
        super().__init__()
        self._smallest, self._frame = smallest, QSize()

    def fit_to_screen(self) -> None:
        """Be no larger than the screen, frame and all, and wholly on it."""
        room, frame = self.screen().availableGeometry(), self.frameGeometry().size() - self.size()
        self.setMinimumSize(self._smallest.boundedTo(room.size() - frame))
        self.resize(self.size().boundedTo(room.size() - frame))
        place = QRect(self.pos(), self.size() + frame)
        place.moveRight(min(place.right(), room.right()))
        place.moveBottom(min(place.bottom(), room.bottom()))
        place.moveTopLeft(QPoint(max(place.left(), room.left()), max(place.top(), room.top())))
        if place.topLeft() != self.pos():
            self.move(place.topLeft())

    def moveEvent(self, event: QMoveEvent) -> None:  # noqa: N802
        """Fit to the screen once more when the desktop has framed the window, which it does as it comes."""
        super().moveEvent(event)
        frame = self.frameGeometry().size() - self.size()
        if frame != self._frame and not self.windowState():
            self._frame = frame
            QTimer.singleShot(0, self, self.fit_to_screen)
