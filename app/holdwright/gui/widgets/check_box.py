"""A box to be ticked, with a frame that is seen in every scheme."""

from typing import Final

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QCheckBox

from holdwright.gui.widgets import style
from holdwright.gui.widgets.palette import tones

SIDE: Final = 14
HEIGHT: Final = 6 * style.GRID


class CheckBox(QCheckBox):
    """A square in ink and words beside it; the whole line takes the click."""

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for box and words."""
        words = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(SIDE + 2 * style.GAP + words, max(HEIGHT, self.fontMetrics().height() + style.GRID))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never clip the words' height."""
        return QSize(SIDE + 2 * style.GAP, self.sizeHint().height())

    def hitButton(self, place: QPoint) -> bool:  # noqa: N802
        """Take a click on the box or its words."""
        return QRect(QPoint(0, 0), self.sizeHint()).contains(place)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the square, its tick, and the words."""
        del event
        tone = tones(self)
        group = QPalette.ColorGroup.Active if self.isEnabled() else QPalette.ColorGroup.Disabled
        ink = self.palette().color(group, QPalette.ColorRole.WindowText)
        frame = QColor(style.mixed(tone.paper, ink.name(), 0.65))
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(0.5, (self.height() - SIDE) / 2 + 0.5, SIDE - 1, SIDE - 1)
        hot = self.underMouse() or self.hasFocus()
        painter.setPen(QPen(ink if hot else frame, 2.0 if self.hasFocus() else 1.0))
        painter.setBrush(QColor(tone.raised))
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5) if self.hasFocus() else box)
        if self.isChecked():
            pen = QPen(ink, 1.8)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            corner = box.topLeft()
            painter.drawPolyline([corner + QPointF(x, y) for x, y in ((3.2, 6.8), (5.6, 9.4), (10.0, 3.8))])
        painter.setPen(ink)
        words = self.rect().adjusted(SIDE + style.GAP, 0, 0, 0)
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text())
        painter.end()
