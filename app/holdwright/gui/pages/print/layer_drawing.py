"""One layer as it is printed, seen from above: passes, what is filled solid, and infill."""

from collections.abc import Mapping
from math import ceil, hypot
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QWidget

from holdwright.export.layers_view import Drawn, LayersView
from holdwright.gui.pages.joint.drawing_scale import Drawing, Plan
from holdwright.gui.viewport.dimensions import round_length
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.gui.widgets.painting import PARTS
from holdwright.units import MILLIMETRES

HEIGHT: Final = 268
_FOOT: Final = 22
"""Room for the scale, pixels."""

_GAP: Final = 0.85
"""Share of their width that lines are drawn with, so that they are told apart."""


class LayerDrawing(Drawing):
    """All layers of a hold to one scale; the wall's upward is up, as it is seen from the front."""

    def __init__(self, parent: QWidget | None = None) -> None:
        tip = (
            "The layer from above, to scale. Infill is hatched by its share; a printer's own pattern differs."
        )
        super().__init__("Layer", tip, parent, HEIGHT)
        self._view: LayersView | None = None
        self._lines: Mapping[str, Drawn] | None = None
        self._unit: Preferred = "mm"
        self._stale = False

    def show_layer(
        self, view: LayersView, lines: Mapping[str, Drawn] | None, unit: Preferred, *, stale: bool
    ) -> None:
        """Draw another layer; None where its lines are still to come: what was drawn stays, fainter."""
        late = lines is None and view is self._view
        self._view, self._unit, self._stale = view, unit, stale or late
        self._lines = self._lines if late else lines
        self.update()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw each part, and the scale."""
        if self._view is None:
            return
        plan = Plan(self._view.corners, QRectF(0.0, 0.0, self.width(), HEIGHT - _FOOT).adjusted(6, 6, -6, -6))
        if self._lines is None:
            painter.setPen(QColor(tone.faint))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "Drawing")
        for part, drawn in (self._lines or {}).items():
            colour = getattr(tone, part if part in PARTS else "shell")
            _Part(painter, tone.paper, colour, plan, self._stale).draw(
                drawn, self._view.rule.width, self._view.infill[part]
            )
        self._paint_scale(painter, tone, plan)

    def _paint_scale(self, painter: QPainter, tone: style.Colours, plan: Plan) -> None:
        unit, name = (1.0, "mm") if self._unit == "mm" else (MILLIMETRES["inch"], "in")
        length = round_length(1.0 / plan.scale / unit, 90.0)
        wide, y = length * unit * plan.scale, HEIGHT - 8.0
        painter.setPen(QPen(QColor(tone.faint), 1.0))
        painter.drawLine(QLineF(6, y, 6 + wide, y))
        for x in (6.0, 6.0 + wide):
            painter.drawLine(QLineF(x, y - 3, x, y + 3))
        text = self.fontMetrics().height()
        words = QRectF(12 + wide, y - text / 2, 100, text)
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, f"{length:g} {name}")


class _Part:
    """Draws the lines of one part."""

    def __init__(self, painter: QPainter, paper: str, colour: str, plan: Plan, stale: bool) -> None:
        self._painter, self._plan = painter, plan
        self._paper, self._colour, self._faint = paper, colour, 0.4 if stale else 1.0

    def draw(self, drawn: Drawn, width: float, infill: float) -> None:
        """Draw passes, solid part and infill; a line's width in mm, the share of the infill 0 to 1."""
        passes, solid, filled = drawn
        self._fill(self._plan.path(solid), 0.5)
        inside = self._plan.path(filled)
        self._fill(inside, 0.1)
        if infill > 0.0 and not inside.isEmpty():
            self._hatch(inside, width, infill)
        pen = QPen(self._tint(1.0), max(_GAP * width * self._plan.scale, 1.0))
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.setPen(pen)
        for each in passes:
            self._painter.drawPath(self._plan.path(each))

    def _tint(self, share: float) -> QColor:
        return QColor(style.mixed(self._paper, self._colour, share * self._faint))

    def _fill(self, path: QPainterPath, share: float) -> None:
        self._painter.setPen(Qt.PenStyle.NoPen)
        self._painter.setBrush(self._tint(share))
        self._painter.drawPath(path)

    def _hatch(self, inside: QPainterPath, width: float, infill: float) -> None:
        """Draw lines of their true width as far apart as their share of the area has it."""
        room = inside.boundingRect()
        apart = max(width / infill * self._plan.scale, 2.0)
        middle, half = room.center(), hypot(room.width(), room.height()) / 2
        self._painter.save()
        self._painter.setClipPath(inside)
        self._painter.setPen(QPen(self._tint(0.45), max(_GAP * width * self._plan.scale, 1.0)))
        # Through a fixed place of the plan, so that hatches of neighbouring layers lie upon each other.
        origin = self._plan.at(0.0, 0.0)
        shift = ((middle.x() - origin.x()) + (middle.y() - origin.y())) / 2**0.5 % apart
        count = ceil(half / apart) + 1
        way = QPointF(half, -half)
        lines = []
        for n in np.arange(-count, count + 1):
            by = (float(n) * apart - shift) / 2**0.5
            at = middle + QPointF(by, by)
            lines.append(QLineF(at - way, at + way))
        self._painter.drawLines(lines)
        self._painter.restore()
