"""The back of a hold in colours of how well it could be bored there, with the best places."""

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QWidget

from holdwright.gui.pages.joint.drawing_scale import HEIGHT, Drawing, Plan, field_image
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import LEFT, RIGHT
from holdwright.pipeline.views.place_view import PlaceView
from holdwright.render.colour_scale import colour_at

MOST: Final = 2.0
"""Margin at the bright end of the scale; 0 is at the dark end."""
MARK: Final = 10.0
"""Radius of a numbered mark, pixels."""
SCALE_HEIGHT: Final = 30


class PlaceMap(Drawing):
    """A map over the back, seen from the front; a click on a numbered mark takes its place.

    Signals
    -------
    chosen
        A mark was clicked: its number from 0.
    """

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            "Where the back is best bored",
            "Seen through the hold as it hangs, to scale: the brighter, the greater the least margin of "
            "seat, walls, edge, head, turning and lifting. Click a number to bore there.",
            parent,
            HEIGHT + SCALE_HEIGHT,
        )
        self._view: PlaceView | None = None
        self._image = QImage()
        self.setMouseTracking(True)

    def show_view(self, view: PlaceView) -> None:
        """Show another back."""
        table = [QColor(*colour_at(share)) for share in np.linspace(0.0, 1.0, 256)]
        self._view, self._image = view, field_image(np.nan_to_num(view.field.margin) / MOST, table)
        best = view.best[0]
        self.setAccessibleDescription(best.reason)
        self.update()

    def place_of(self, number: int) -> QPointF:
        """Give where a mark stands, in the widget's pixels."""
        if self._view is None:
            return QPointF()
        place = self._view.best[number].place
        return self._back(self._view).at(place.x, place.y)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Show that a mark can be clicked."""
        over = self._mark_at(event.position()) is not None
        self.setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take the mark's place."""
        mark = self._mark_at(event.position())
        if mark is not None and event.button() == Qt.MouseButton.LeftButton:
            self.chosen.emit(mark)
        else:
            super().mousePressEvent(event)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw what there is to show: on a bare sheet nothing."""
        view = self._view
        if view is None:
            return
        plan = self._back(view)
        path = plan.path(view.outlines)
        plan.draw_field(painter, view.field.grid, self._image, path)
        painter.strokePath(path, QPen(QColor(tone.ink), 1.2))
        if view.present is not None:
            place = view.present.place
            for pen in (QPen(QColor(tone.paper), 3.0), QPen(QColor(tone.ink), 1.2, Qt.PenStyle.DashLine)):
                painter.setPen(pen)
                plan.circle(painter, plan.at(place.x, place.y), view.pocket / 2)
        for number in reversed(range(len(view.best))):
            self._paint_mark(painter, tone, self.place_of(number), str(number + 1))
        self._paint_scale(painter, tone)

    def _paint_mark(self, painter: QPainter, tone: style.Colours, at: QPointF, text: str) -> None:
        painter.setPen(QPen(QColor(tone.ink), 1.4))
        painter.setBrush(QColor(tone.paper))
        painter.drawEllipse(at, MARK, MARK)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setFont(style.weighted(self.font()))
        box = QRectF(at.x() - MARK, at.y() - MARK, 2 * MARK, 2 * MARK)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        painter.setFont(self.font())

    def _paint_scale(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the colours from nothing to twice what is required, and where enough is."""
        wide = self.width() - 16.0
        bar = QRectF(8.0, HEIGHT + 2.0, wide, 6.0)
        steps = 64
        for step in range(steps):
            left = bar.left() + wide * step / steps
            colour = QColor(*colour_at(step / (steps - 1)))
            painter.fillRect(QRectF(left, bar.top(), wide / steps + 0.6, 6.0), colour)
        middle = bar.center().x()
        painter.setPen(QPen(QColor(tone.ink), 1.0))
        painter.drawLine(QPointF(middle, bar.top() - 3), QPointF(middle, bar.bottom() + 3))
        painter.setPen(QColor(tone.faint))
        row = QRectF(8.0, bar.bottom() + 3.0, wide, SCALE_HEIGHT - 9.0)
        for side, text in ((LEFT, "none"), (Qt.AlignmentFlag.AlignCenter, "as required"), (RIGHT, "twice")):
            painter.drawText(row, side, text)

    def _back(self, view: PlaceView) -> Plan:
        return self._plan(np.concatenate(list(view.outlines)))

    def _mark_at(self, at: QPointF) -> int | None:
        if self._view is None:
            return None
        for number in range(len(self._view.best)):
            away = at - self.place_of(number)
            if away.x() ** 2 + away.y() ** 2 <= (MARK + 2.0) ** 2:
                return number
        return None
