"""A slider: a line, and a knob on it."""

from PySide6.QtCore import QRectF, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter
from PySide6.QtWidgets import QSlider, QStyle, QWidget

from holdwright.gui.form.field_frame import Field, field_height
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted, knob_of


class Slider(Field, Painted, QSlider):
    """Moved by pointer or key.

    Parameters
    ----------
    name, tip
        What it is called, and its tooltip.
    most, page
        Its value at the right, 0 being at the left; what Page Up and Page Down add.

    Signals
    -------
    settled
        The knob or the key was let go.
    """

    settled = Signal()
    smooth = True

    def __init__(
        self, name: str, tip: str = "", parent: QWidget | None = None, *, most: int = 100, page: int = 10
    ) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setAccessibleName(name)
        self.setToolTip(tip)
        self.setRange(0, most)
        self.setPageStep(page)
        self.sliderReleased.connect(self.settled)

    def show_value(self, value: int, low: int | None = None, high: int | None = None) -> None:
        """Show a value, with other limits where they are given, and report nothing."""
        with QSignalBlocker(self):
            self.setRange(self.minimum() if low is None else low, self.maximum() if high is None else high)
            self.setValue(value)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the usual size."""
        return QSize(20 * style.GRID, field_height(self))

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Let go of the key."""
        super().keyReleaseEvent(event)
        if not event.isAutoRepeat():
            self.settled.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Let go when it is left."""
        super().focusOutEvent(event)
        self.settled.emit()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw line and knob."""
        knob = knob_of(self, QStyle.ComplexControl.CC_Slider, QStyle.SubControl.SC_SliderHandle)
        middle = self.height() / 2
        line = QColor(tone.edge)
        painter.fillRect(QRectF(0, middle - 0.5, self.width(), 1), line)
        painter.fillRect(QRectF(0, middle - 1, knob.center().x(), 2), QColor(tone.ink))
        painter.setPen(QColor(tone.ink))
        painter.setBrush(QColor(tone.ink if self.isSliderDown() else tone.raised))
        radius = 7.0 if self.hasFocus() or self.underMouse() else 6.0
        x = min(max(knob.center().x() + 0.5, radius + 0.5), self.width() - radius - 0.5)
        painter.drawEllipse(QRectF(x - radius, middle - radius, 2 * radius, 2 * radius))
        if self.hasFocus():
            painter.setBrush(QColor(tone.ink))
            painter.drawEllipse(QRectF(x - 2.5, middle - 2.5, 5, 5))
