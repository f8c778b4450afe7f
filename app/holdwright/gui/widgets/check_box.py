"""A box to be ticked, with a frame that is seen in every scheme."""

from typing import Final

from PySide6.QtCore import QPoint, QRect, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPalette, QPen
from PySide6.QtWidgets import QCheckBox, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import LEFT, TICK, Painted, paint_tick

HEIGHT: Final = 6 * style.GRID


class CheckBox(Painted, QCheckBox):
    """A square in ink and words beside it; the whole line takes the click."""

    smooth = True

    def __init__(self, text: str, parent: QWidget | None = None, tip: str = "") -> None:
        super().__init__(text, parent)
        self.setToolTip(tip)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for box and words."""
        words = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(TICK + 2 * style.GAP + words, max(HEIGHT, self.fontMetrics().height() + style.GRID))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never clip the words' height."""
        return QSize(TICK + 2 * style.GAP, self.sizeHint().height())

    def hitButton(self, place: QPoint) -> bool:  # noqa: N802
        """Take a click on the box or its words."""
        return QRect(QPoint(0, 0), self.sizeHint()).contains(place)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the square, its tick, and the words."""
        group = QPalette.ColorGroup.Active if self.isEnabled() else QPalette.ColorGroup.Disabled
        ink = self.palette().color(group, QPalette.ColorRole.WindowText)
        frame = QColor(style.mixed(tone.paper, ink.name(), 0.65))
        box = QRectF(0.5, (self.height() - TICK) / 2 + 0.5, TICK - 1, TICK - 1)
        hot = self.underMouse() or self.hasFocus()
        painter.setPen(QPen(ink if hot else frame, 2.0 if self.hasFocus() else 1.0))
        painter.setBrush(QColor(tone.raised))
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5) if self.hasFocus() else box)
        if self.isChecked():
            paint_tick(painter, box.topLeft(), ink)
        painter.setPen(ink)
        words = self.rect().adjusted(TICK + style.GAP, 0, 0, 0)
        painter.drawText(words, LEFT, self.text())
