"""A small picture of a hold in a list, in a frame with round corners."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import tones

_ROUND: Final = 3.0


def paint_picture(painter: QPainter, widget: QWidget, frame: QRectF, picture: QPixmap | None) -> None:
    """Draw a picture on a widget; of a hold not seen yet, an outline of no hold in particular."""
    tone = tones(widget)
    outline = QPainterPath()
    outline.addRoundedRect(frame, _ROUND, _ROUND)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(tone.hairline), 1.0))
    if picture is None:
        painter.drawPath(outline)
        painter.setPen(QPen(QColor(style.mixed(tone.hairline, tone.faint, 0.4)), 1.2))
        painter.drawPath(_lump(frame))
        return
    painter.save()
    painter.setClipPath(outline)
    # Brought to the screen's size by itself: the painter would leave out two rows in three.
    fitting = picture.scaled(
        frame.size().toSize() * widget.devicePixelRatioF(),
        Qt.AspectRatioMode.IgnoreAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    )
    painter.drawPixmap(frame, fitting, QRectF(fitting.rect()))
    painter.restore()
    painter.drawPath(outline)


def _lump(frame: QRectF) -> QPainterPath:
    """Give the outline of a lump on a wall."""
    path = QPainterPath(QPointF(frame.left() + 16.0, frame.bottom() - 14.0))
    path.cubicTo(
        QPointF(frame.left() + 18.0, frame.top() + 8.0),
        QPointF(frame.right() - 26.0, frame.top() + 8.0),
        QPointF(frame.right() - 16.0, frame.bottom() - 14.0),
    )
    path.closeSubpath()
    return path
