"""A slider: a line, and a knob on it."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter, QWheelEvent
from PySide6.QtWidgets import QSlider, QStyle, QWidget

from holdwright.gui.form.field_frame import field_height
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted, knob_of


class Slider(Painted, QSlider):
    """Moved by hand or key; the wheel is left to the page.

    Signals
    -------
    settled
        The hand has let go, of the knob or of the key.
    """

    settled = Signal()
    smooth = True

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.sliderReleased.connect(self.settled)

    def show_value(self, value: int) -> None:
        """Show a value, telling nobody."""
        blocked = self.blockSignals(True)
        self.setValue(value)
        self.blockSignals(blocked)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give a field's height."""
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

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Scrolling past changes nothing."""
        event.ignore()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw line and knob."""
        knob = knob_of(self, QStyle.ComplexControl.CC_Slider, QStyle.SubControl.SC_SliderHandle)
        middle = self.height() / 2
        line = QColor(style.mixed(tone.hairline, tone.ink, 0.35))
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
