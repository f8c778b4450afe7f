"""A scroll bar that takes little room."""

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QScrollBar, QStyle, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted, knob_of

WIDTH: Final = 2 * style.GRID


class ScrollBar(Painted, QScrollBar):
    """Upright; a slim knob and nothing else."""

    smooth = True

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give its width."""
        return QSize(WIDTH, super().sizeHint().height())

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the knob."""
        knob = knob_of(self, QStyle.ComplexControl.CC_ScrollBar, QStyle.SubControl.SC_ScrollBarSlider)
        painter.fillRect(self.rect(), self.palette().window())
        painter.setPen(Qt.PenStyle.NoPen)
        here = self.underMouse() or self.isSliderDown()
        painter.setBrush(QColor(style.mixed(tone.hairline, tone.ink, 0.55 if here else 0.3)))
        painter.drawRoundedRect(QRectF(knob).adjusted(2, 1, -2, -1), 2, 2)
