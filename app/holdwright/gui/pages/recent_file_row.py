"""A file opened last: what it looks like, its name, and the folder it lies in."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from holdwright.gui.viewport.thumbnail import HEIGHT, WIDTH
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted, paint_frame
from holdwright.printable import printable

_ROUND: Final = 3.0


class RecentFileRow(Painted, QAbstractButton):
    """Opens the file when clicked."""

    smooth = True

    def __init__(self, path: Path, picture: QPixmap | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._path = path
        self._picture = picture
        self.setText(printable(path.name))
        self.setAccessibleName(f"Open {printable(path.name)}")
        self.setAccessibleDescription(printable(path.parent))
        self.setToolTip(printable(path))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for the picture."""
        return QSize(WIDTH + 60 * style.GRID, HEIGHT + 2 * style.GRID)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw picture, name and folder."""
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if self.underMouse() or self.isDown():
            painter.fillRect(self.rect(), QColor(tone.sunken))
        frame = QRectF(style.GRID, (self.height() - HEIGHT) / 2, WIDTH, HEIGHT)
        self._paint_picture(painter, frame, tone)
        left = int(frame.right()) + 3 * style.GRID
        line = self.fontMetrics().height()
        top = (self.height() - 2 * line) // 2
        room = self.width() - left - style.GRID
        for text, place, colour in (
            (printable(self._path.name), top, tone.ink),
            (printable(self._path.parent.name), top + line, tone.faint),
        ):
            shown = self.fontMetrics().elidedText(text, Qt.TextElideMode.ElideMiddle, room)
            painter.setPen(QColor(colour))
            painter.drawText(QRect(left, place, room, line), Qt.AlignmentFlag.AlignVCenter, shown)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setPen(QColor(tone.ink))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            paint_frame(painter, self)

    def _paint_picture(self, painter: QPainter, frame: QRectF, tone: style.Colours) -> None:
        """Draw what the file looks like; of one not seen yet, an outline of no hold in particular."""
        outline = QPainterPath()
        outline.addRoundedRect(frame, _ROUND, _ROUND)
        painter.setPen(QPen(QColor(tone.hairline), 1.0))
        if self._picture is None:
            painter.drawPath(outline)
            painter.setPen(QPen(QColor(style.mixed(tone.hairline, tone.faint, 0.4)), 1.2))
            painter.drawPath(_lump(frame))
            return
        painter.save()
        painter.setClipPath(outline)
        # Brought to the screen's size by itself: the painter would leave out two rows in three.
        fitting = self._picture.scaled(
            frame.size().toSize() * self.devicePixelRatioF(),
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
