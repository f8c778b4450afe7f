"""Icons, drawn in the colour of the text beside them."""

from functools import lru_cache
from typing import Final

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QWidget

from holdwright.resources import resource_folder

SIZE: Final = 16
"""Side of an icon on screen, pixels."""

_LINE: Final = ('stroke-width="2"', 'stroke-width="1.75"')


def paint_icon(painter: QPainter, name: str, colour: str, rect: QRectF) -> None:
    """Draw an icon straight into a rectangle."""
    QSvgRenderer(QByteArray(_drawing(name, QColor(colour).name()))).render(painter, rect)


def icon_side(widget: QWidget) -> int:
    """Give the side of an icon beside a widget's words: it grows with the letters."""
    return max(SIZE, widget.fontMetrics().height() - 1)


@lru_cache(maxsize=128)
def _drawing(name: str, colour: str) -> bytes:
    text = (resource_folder() / "icons" / f"{name}.svg").read_text("utf-8")
    return text.replace("currentColor", colour).replace(*_LINE).encode()
