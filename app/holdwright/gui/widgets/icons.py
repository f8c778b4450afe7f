"""Icons, drawn in the colour of the text beside them."""

from functools import lru_cache
from typing import Final

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QWidget

from holdwright.resources import resource_folder

SIZE: Final = 16
"""Side of an icon on screen, pixels."""

_RATIOS: Final = (1.0, 1.25, 1.5, 2.0, 3.0)
_LINE: Final = ('stroke-width="2"', 'stroke-width="1.75"')


def icon(name: str, colour: str, size: int = SIZE) -> QIcon:
    """Give an icon in a colour, sharp on every screen.

    Parameters
    ----------
    name
        Of the file in the folder of icons, without its ending.
    colour
        As "#RRGGBB"; of the text it stands beside.
    size
        Side in device-independent pixels.
    """
    made = QIcon()
    for ratio in _RATIOS:
        made.addPixmap(pixmap(name, colour, size, ratio))
    return made


def pixmap(name: str, colour: str, size: int = SIZE, ratio: float = 1.0) -> QPixmap:
    """Draw an icon once; `ratio` is the screen's device pixels to one of ours."""
    side = round(size * ratio)
    drawn = QPixmap(QSize(side, side))
    drawn.fill(Qt.GlobalColor.transparent)
    painter = QPainter(drawn)
    QSvgRenderer(QByteArray(_drawing(name, QColor(colour).name()))).render(painter, QRectF(0, 0, side, side))
    painter.end()
    drawn.setDevicePixelRatio(ratio)
    return drawn


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
