"""What every field is drawn on: a lighter strip of paper with a line beneath, instead of a box."""

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.icons import paint_icon
from holdwright.gui.widgets.palette import tones


def field_height(widget: QWidget) -> int:
    """Give the height of a field, on the grid, for the widget's type."""
    least = widget.fontMetrics().height() + 2 * style.GRID
    return max(7 * style.GRID, -(-least // style.GRID) * style.GRID)


def paint_ground(painter: QPainter, widget: QWidget, *, focused: bool) -> None:
    """Draw the strip and its line, in ink and thicker where the keyboard is."""
    tone = tones(widget)
    rect = widget.rect()
    painter.fillRect(rect, QColor(tone.raised))
    line = tone.ink if focused else style.mixed(tone.hairline, tone.ink, 0.35)
    thick = 2 if focused else 1
    painter.fillRect(QRect(0, rect.height() - thick, rect.width(), thick), QColor(line))


def paint_mark(painter: QPainter, name: str, colour: str, rect: QRect, side: float) -> None:
    """Draw an icon of a side in the middle of a rectangle."""
    x = rect.x() + (rect.width() - side) / 2
    y = rect.y() + (rect.height() - side) / 2
    paint_icon(painter, name, colour, QRectF(x, y, side, side))
