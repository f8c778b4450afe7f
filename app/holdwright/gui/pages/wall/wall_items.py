"""What is drawn on a wall: its panels with their T-nuts, and the holds. Scenes are in mm, y down."""

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QStyleOptionGraphicsItem, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import tones
from holdwright.wall.hung import Hung
from holdwright.wall.t_nut_grid import seams
from holdwright.wall.wall_file import ClimbingWall

EDGE: Final = 70.0
"""Room round the wall for the names of columns and rows, mm."""
ARM: Final = 3.5
"""Half a T-nut's cross, pixels."""
GRIP: Final = 6.0
"""Radius of the grip that turns a hold, pixels."""
STEM: Final = 34.0
"""From the bolt to that grip, pixels, beyond the hold's outline."""


def seen(x: float, y: float) -> QPointF:
    """Give the scene's place of one on the wall."""
    return QPointF(x, -y)


class WallGround(QGraphicsItem):
    """Panels, seams, and T-nuts with the names of their columns and rows."""

    def __init__(self, wall: ClimbingWall, places: dict[str, tuple[float, float]]) -> None:
        super().__init__()
        self._places = places
        self._upright, self._level = seams(wall)

    def boundingRect(self) -> QRectF:  # noqa: N802
        """Give the wall with the room round it."""
        whole = QRectF(seen(0.0, self._level[-1]), seen(self._upright[-1], 0.0))
        return whole.adjusted(-EDGE, -EDGE / 3, EDGE / 3, EDGE)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        """Draw it in lines of one pixel."""
        assert widget is not None
        tone = tones(widget)
        whole = QRectF(seen(0.0, self._level[-1]), seen(self._upright[-1], 0.0))
        painter.fillRect(whole, QColor(tone.raised))
        painter.setPen(_hair(style.mixed(tone.hairline, tone.ink, 0.25)))
        for x in self._upright:
            painter.drawLine(seen(x, 0.0), seen(x, self._level[-1]))
        for y in self._level:
            painter.drawLine(seen(0.0, y), seen(self._upright[-1], y))
        scale = painter.worldTransform().m11()
        arm = ARM / max(scale, 1e-6)
        painter.setPen(_hair(style.mixed(tone.faint, tone.raised, 0.25)))
        for x, y in self._places.values():
            at = seen(x, y)
            painter.drawLine(at - QPointF(arm, 0.0), at + QPointF(arm, 0.0))
            painter.drawLine(at - QPointF(0.0, arm), at + QPointF(0.0, arm))
        self._paint_names(painter, widget, tone, scale)

    def _paint_names(self, painter: QPainter, widget: QWidget, tone: style.Colours, scale: float) -> None:
        """Name columns beneath the wall and rows at its left, in the window's type."""
        painter.setFont(_sized(widget.font(), scale))
        painter.setPen(QColor(tone.faint))
        high = 18.0 / max(scale, 1e-6)
        columns: dict[str, float] = {}
        rows: dict[str, float] = {}
        for name, (x, y) in self._places.items():
            column = name.rstrip("0123456789")
            columns.setdefault(column, x)
            rows.setdefault(name[len(column) :], y)
        middle = Qt.AlignmentFlag.AlignCenter
        for column, x in columns.items():
            painter.drawText(QRectF(x - 2 * high, 0.15 * high, 4 * high, high), middle, column)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for row, y in rows.items():
            painter.drawText(QRectF(-4.3 * high, -y - high / 2, 4 * high, high), right, row)


class HoldItem(QGraphicsPathItem):
    """A hold as it hangs: outline, bolt, wood screws, a line upward and its number."""

    def __init__(self, one: Hung, severity: str) -> None:
        super().__init__()
        self.one = one
        self._severity = severity
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsSelectable)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.show_hung(one, severity)

    def show_hung(self, one: Hung, severity: str) -> None:
        """Show it where it hangs now."""
        if one is not self.one or self.path().isEmpty():
            self.one = one
            self.setPath(_path(one.outline - one.at))
            self.setPos(seen(*one.at))
        self._severity = severity
        self.setToolTip(one.name)
        self.update()

    def boundingRect(self) -> QRectF:  # noqa: N802
        """Give the outline with room for its grip."""
        box = super().boundingRect()
        room = max(box.width(), box.height()) * 0.8 + 60.0
        return box.adjusted(-room, -room, room, room)

    def shape(self) -> QPainterPath:
        """Give what a click takes: the outline."""
        return self.path()

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        """Draw it."""
        assert widget is not None
        tone, chosen = tones(widget), self.isSelected()
        scale = painter.worldTransform().m11()
        fill = QColor(style.mixed(tone.shell, tone.raised, 0.45))
        if self._severity:
            fill = QColor(getattr(tone, self._severity))
        pen = QPen(QColor(tone.accent if chosen else tone.shell), 2.2 if chosen else 1.2)
        if self._severity and not chosen:
            pen.setColor(QColor(tone.ink))
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.setBrush(fill)
        painter.drawPath(self.path())
        pixel = 1.0 / max(scale, 1e-6)
        painter.setPen(_hair(tone.ink, 1.2))
        for x, y in self.one.screws - self.one.at:
            at, arm = seen(x, y), 2.5 * pixel
            painter.drawLine(at - QPointF(arm, arm), at + QPointF(arm, arm))
            painter.drawLine(at + QPointF(-arm, arm), at + QPointF(arm, -arm))
        painter.setBrush(QColor(tone.ink))
        painter.drawEllipse(QPointF(0.0, 0.0), 3.0 * pixel, 3.0 * pixel)
        if chosen:
            at = self.grip(scale)
            painter.setPen(_hair(tone.accent, 1.4))
            painter.drawLine(QPointF(0.0, 0.0), at)
            painter.setBrush(QColor(tone.accent))
            painter.drawEllipse(at, GRIP * pixel, GRIP * pixel)
        self._paint_number(painter, widget, tone, pixel)

    def grip(self, scale: float) -> QPointF:
        """Give where the grip that turns it is, from its bolt, at so many pixels to a mm."""
        cos, sin = _direction(self.one.turn + 90.0)
        away = self.reach + STEM / max(scale, 1e-6)
        return seen(away * cos, away * sin)

    @property
    def reach(self) -> float:
        """How far its outline goes from its bolt along its own up, mm."""
        cos, sin = _direction(self.one.turn + 90.0)
        outline = self.one.outline - self.one.at
        return max(float((outline @ (cos, sin)).max()), 0.0)

    def _paint_number(self, painter: QPainter, widget: QWidget, tone: style.Colours, pixel: float) -> None:
        painter.setFont(_sized(style.weighted(widget.font()), 1.0 / pixel))
        painter.setPen(QColor(tone.ink))
        painter.drawText(QPointF(5.0 * pixel, -4.0 * pixel), str(self.one.number))


def _direction(degrees: float) -> tuple[float, float]:
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _path(outline: Floats) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([seen(float(x), float(y)) for x, y in outline]))
    path.closeSubpath()
    return path


def _hair(colour: str, width: float = 1.0) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setCosmetic(True)
    return pen


def _sized(font: QFont, scale: float) -> QFont:
    """Give a font that is as large on the screen as elsewhere in the window, whatever the scale."""
    sized = QFont(font)
    sized.setPointSizeF(max(font.pointSizeF() / max(scale, 1e-6), 0.1))
    return sized
