"""What painted widgets share: following scheme and font, paper, and the knob of a slider."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QScrollBar, QSizePolicy, QSlider, QStyle, QStyleOptionSlider, QWidget

from holdwright.gui.widgets.palette import tones

if TYPE_CHECKING:
    _Base = QWidget
else:
    _Base = object


class Restyled(_Base):
    """Mixin, to stand before the Qt class: takes another scheme's colours and another font."""

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Follow palette and font."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.restyle()
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self.updateGeometry()
            self.update()

    def restyle(self) -> None:
        """Set the colours of what lies in the widget; what it paints itself is painted anew anyway."""


class Paper(Restyled, QWidget):
    """A widget on the colour of paper.

    Attributes
    ----------
    edge
        "top" or "bottom" for a hairline along that edge; blank for none.
    """

    edge = ""

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the paper and its hairline."""
        del event
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(tones(self).paper))
        if self.edge:
            y = 0 if self.edge == "top" else self.height() - 1
            painter.fillRect(0, y, self.width(), 1, QColor(tones(self).hairline))
        painter.end()


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


def knob_of(bar: QSlider | QScrollBar, control: QStyle.ComplexControl, part: QStyle.SubControl) -> QRect:
    """Give where the style puts the knob of a slider or scroll bar, pixels within the widget."""
    option = QStyleOptionSlider()
    bar.initStyleOption(option)
    return bar.style().subControlRect(control, option, part, bar)
