"""The scale that belongs to values in colours: how often each is met, and where the limit lies."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from holdwright.gui.viewport.colour_map import BINS, ColourMap, colour_at
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.units import MILLIMETRES

_WIDTH: Final = 12.0
_HIGHEST: Final = 220.0
_HISTOGRAM: Final = 46.0
_RIGHT: Final = 64.0


class ColourScale:
    """Drawn at the right while values are shown.

    Parameters
    ----------
    heat
        Gives what is shown, or None.
    unit
        Gives the unit that lengths are written in.
    """

    def __init__(
        self, heat: Callable[[], ColourMap | None], unit: Callable[[], Preferred] = lambda: "mm"
    ) -> None:
        self._heat = heat
        self._unit = unit

    def paint(self, painter: QPainter, lens: Lens, tones: style.Colours) -> None:
        """Draw the scale from low (below) to high (above)."""
        heat = self._heat()
        if heat is None:
            return
        height = min(_HIGHEST, lens.size[1] * 0.45)
        bar = QRectF(lens.size[0] - _RIGHT - _WIDTH, (lens.size[1] - height) / 2, _WIDTH, height)
        _draw_bar(painter, bar, heat, tones)
        metrics = QFontMetricsF(painter.font())
        painter.setPen(QColor(tones.ink))
        one, unit = (MILLIMETRES["inch"], "in") if self._inches(heat) else (1.0, heat.unit)
        title = f"{heat.title}, {unit}" if unit else heat.title
        above = QRectF(bar.right() + _RIGHT - 12.0 - 400.0, bar.top() - 34.0, 400.0, metrics.height())
        painter.drawText(above, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, title)
        painter.setPen(QColor(tones.faint))
        for value, y in ((heat.high, bar.top()), (heat.low, bar.bottom())):
            _write(painter, bar, y, figure(value / one))
        if heat.limit is not None and heat.low <= heat.limit <= heat.high:
            share = (heat.limit - heat.low) / max(heat.high - heat.low, 1e-12)
            y = bar.bottom() - share * bar.height()
            painter.setPen(QPen(QColor(tones.ink), 1.5))
            painter.drawLine(QPointF(bar.left() - _HISTOGRAM - 4, y), QPointF(bar.right() + 6, y))
            _write(painter, bar, y, figure(heat.limit / one))

    def _inches(self, heat: ColourMap) -> bool:
        return heat.unit == "mm" and self._unit() == "inch"


def figure(value: float) -> str:
    """Write a value with three digits that count."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _write(painter: QPainter, bar: QRectF, y: float, text: str) -> None:
    box = QRectF(bar.right() + 10.0, y - 9.0, _RIGHT - 12.0, 18.0)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def _draw_bar(painter: QPainter, bar: QRectF, heat: ColourMap, tones: style.Colours) -> None:
    step = bar.height() / BINS
    outline = QPolygonF([QPointF(bar.left() - 4, bar.bottom())])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(Qt.PenStyle.NoPen)
    for number, share in enumerate(heat.histogram()):
        foot = bar.bottom() - number * step
        painter.setBrush(QColor(*colour_at((number + 0.5) / BINS)))
        painter.drawRect(QRectF(bar.left(), foot - step, bar.width(), step + 1.0))
        for y in (foot, foot - step):
            outline.append(QPointF(bar.left() - 4 - share * _HISTOGRAM, y))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    outline.append(QPointF(bar.left() - 4, bar.top()))
    filled = QColor(tones.faint)
    filled.setAlpha(90)
    painter.setBrush(filled)
    painter.drawPolygon(outline)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(tones.ink), 1.0))
    painter.drawRect(bar)
