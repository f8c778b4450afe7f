"""Values over the surface in colours of one even scale, and that scale beside it, with the limit marked."""

from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from holdwright.gui.viewport.dimensions import round_length
from holdwright.gui.viewport.label_layer import draw_slip
from holdwright.gui.viewport.picking import Pick
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.colour_scale import colour_at
from holdwright.units import MILLIMETRES

BINS: Final = 48
ROUND: Final = 12
"""Of how many round steps a scale has at least."""

_SIGNS: Final = {"deg": "°"}

_WIDTH: Final = 12.0
_HISTOGRAM: Final = 46.0
_FIGURES: Final = 56.0
_PAD: Final = 8.0
"""Sizes of the scale on screen, and the paper left round it, in device-independent pixels."""


@dataclass(frozen=True, eq=False)
class ColourMap:
    """What is to be seen in colours."""

    values: NDArray[np.float32]
    """(n,) one for each vertex; not-a-number where there is none."""
    low: float
    high: float
    """low and high: values at both ends of the scale."""
    limit: float | None
    """Value that matters, or None."""
    title: str
    unit: str
    """title and unit: for people."""
    signed: bool = False
    """Whether it tells more from less, 0 in the middle of the scale."""

    def rounded(self) -> "ColourMap":
        """Give it with ends of the scale on round figures, beyond those it has."""
        step = round_length((self.high - self.low) / ROUND, 1.0)
        low, high = step * floor(self.low / step), step * ceil(self.high / step)
        if self.signed:
            high = max(-low, high)
            low = -high
        return replace(self, low=low, high=high)

    def value_at(self, pick: Pick, surface: Surface) -> float | None:
        """Give the value at a place of a surface, between those of its triangle; None where there is none."""
        if pick.triangle < 0 or len(surface.vertices) != len(self.values):
            return None
        corners = surface.triangles[pick.triangle]
        sides = (surface.vertices[corners] - pick.point).astype(np.float64)
        # Each corner weighs as much as the part of the triangle opposite to it.
        weights = np.linalg.norm(np.cross(sides[[1, 2, 0]], sides[[2, 0, 1]]), axis=1)
        value = float(self.values[corners] @ weights / max(weights.sum(), 1e-12))
        return value if np.isfinite(value) else None

    def histogram(self) -> NDArray[np.float64]:
        """Give the share of vertices in each of the scale's bins, the fullest being 1."""
        known = self.values[np.isfinite(self.values)]
        counts, _ = np.histogram(np.clip(known, self.low, self.high), bins=BINS, range=(self.low, self.high))
        return np.asarray(counts / max(int(counts.max()), 1), dtype=np.float64)


def paint_colour_scale(
    painter: QPainter,
    heat: ColourMap,
    lens: Lens,
    tones: style.Colours,
    preferred: Preferred,
) -> QRectF:
    """Draw the scale at the right, from low (below) to high (above), on paper; give where that lies."""
    one, unit = (MILLIMETRES["inch"], "in") if heat.unit == "mm" and preferred == "inch" else (1.0, heat.unit)
    title = f"{heat.title}, {_SIGNS.get(unit, unit)}" if unit else heat.title
    metrics = QFontMetricsF(painter.font())
    height = min(220.0, lens.size[1] * 0.45)
    width = max(_HISTOGRAM + _WIDTH + _FIGURES + _PAD, metrics.horizontalAdvance(title) + 2 * _PAD)
    head = metrics.height() + 2.5 * _PAD
    top = (lens.size[1] - height - head) / 2
    slip = QRectF(lens.size[0] - width - _PAD, top, width, height + head + 2 * _PAD)
    draw_slip(painter, slip, tones)
    bar = QRectF(slip.right() - _FIGURES - _WIDTH, slip.top() + head, _WIDTH, height)
    _draw_bar(painter, bar, heat, tones)
    painter.setPen(QColor(tones.ink))
    above = slip.adjusted(_PAD, _PAD, -_PAD, 0.0)
    painter.drawText(above, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, title)
    painter.setPen(QColor(tones.faint))
    for value, y in ((heat.high, bar.top()), (heat.low, bar.bottom())):
        _write(painter, bar, y, figure(value / one))
    if heat.limit is not None and heat.low <= heat.limit <= heat.high:
        share = (heat.limit - heat.low) / max(heat.high - heat.low, 1e-12)
        y = bar.bottom() - share * bar.height()
        painter.setPen(QPen(QColor(tones.ink), 1.5))
        painter.drawLine(QPointF(bar.left() - _HISTOGRAM - 4, y), QPointF(bar.right() + 6, y))
        _write(painter, bar, y, figure(heat.limit / one))
    return slip


def figure(value: float) -> str:
    """Write a value with three digits that count."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _write(painter: QPainter, bar: QRectF, y: float, text: str) -> None:
    box = QRectF(bar.right() + 10.0, y - 9.0, _FIGURES - 12.0, 18.0)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def _draw_bar(painter: QPainter, bar: QRectF, heat: ColourMap, tones: style.Colours) -> None:
    step = bar.height() / BINS
    outline = QPolygonF([QPointF(bar.left() - 4, bar.bottom())])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(Qt.PenStyle.NoPen)
    for number, share in enumerate(heat.histogram()):
        foot = bar.bottom() - number * step
        painter.setBrush(QColor(*colour_at((number + 0.5) / BINS, signed=heat.signed)))
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
