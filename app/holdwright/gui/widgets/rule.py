"""A hairline that parts two things."""

from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets.palette import tones


class Rule(QWidget):
    """A line across, one pixel thick."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the line's thickness."""
        return QSize(0, 1)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the line."""
        del event
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(tones(self).hairline))
        painter.end()
