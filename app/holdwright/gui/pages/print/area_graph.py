"""The area of every layer, from the bed up: shell and core on top of each other."""

from collections.abc import Mapping
from math import floor, log10
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.gui.widgets.painting import LEFT, PARTS, Painted
from holdwright.units import MILLIMETRES

HEIGHT: Final = 108
INSET: Final = 8
"""Room at either side, pixels: the knob of the slider beneath goes no further."""

TICKS: Final = 6
"""An axis has at most so many."""


class AreaGraph(Painted, QWidget):
    """Height to the right, area up; a press or a drag chooses a layer.

    Signals
    -------
    chosen
        The number of a layer.
    """

    smooth = True
    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Area by layer")
        self.setToolTip("Area of each layer by its height; click to look at one.")
        self._heights: Floats = np.empty(0)
        self._areas: dict[str, Floats] = {}
        self._unit: Preferred = "mm"
        self.number, self._stale = 0, False

    def show_areas(
        self, heights: Floats, areas: Mapping[str, Floats], unit: Preferred, *, stale: bool
    ) -> None:
        """Show other layers: areas by part in mm2, (n,) each, at heights (n,) in mm."""
        self._heights, self._areas, self._unit, self._stale = heights, dict(areas), unit, stale
        total = sum(self._areas.values(), np.zeros(len(heights)))
        most = int(np.argmax(total)) if len(heights) else 0
        self.setAccessibleDescription(f"Largest: layer {most + 1}" if len(heights) else "")
        self.update()

    def show_number(self, number: int) -> None:
        """Mark another layer."""
        self.number = number
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the usual height."""
        return QSize(style.SIDEBAR_WIDTH, HEIGHT)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the layer there."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._choose(event.position().x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Follow a drag."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._choose(event.position().x())

    def _choose(self, x: float) -> None:
        last = len(self._heights) - 1
        if last >= 0:
            share = (x - INSET) / max(self._plot().width(), 1.0)
            self.chosen.emit(min(max(int(share * (last + 1)), 0), last))

    def _plot(self) -> QRectF:
        text = self.fontMetrics().height()
        return QRectF(INSET, text + 2, self.width() - 2 * INSET, self.height() - 2 * text - 6)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw areas, axes and the mark."""
        if len(self._heights) < 1:
            return
        plot, below = self._plot(), np.zeros(len(self._heights))
        top = max(float(sum(self._areas.values(), below).max()), 1e-9)
        self._paint_axes(painter, tone, plot, top)
        count = len(self._heights)
        ends = np.repeat(np.arange(count + 1), 2)[1:-1]
        across = plot.left() + plot.width() * ends / count
        for part, areas in self._areas.items():
            above = below + areas
            edges = [plot.bottom() - plot.height() * each / top for each in (above, below)]
            upper, lower = (np.repeat(each, 2) for each in edges)
            outline = (*zip(across, upper, strict=True), *zip(across[::-1], lower[::-1], strict=True))
            shape = QPolygonF([QPointF(x, y) for x, y in outline])
            colour = getattr(tone, part if part in PARTS else "shell")
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(style.mixed(tone.paper, colour, 0.3 if self._stale else 0.75)))
            painter.drawPolygon(shape)
            below = above
        x = plot.left() + plot.width() * (self.number + 0.5) / count
        painter.setPen(QPen(QColor(tone.faint if self._stale else tone.ink), 1.5))
        painter.drawLine(QPointF(x, plot.top() - 2), QPointF(x, plot.bottom() + 2))

    def _paint_axes(self, painter: QPainter, tone: style.Colours, plot: QRectF, top: float) -> None:
        """Draw the bed line with round heights beneath it, and a line at a round area."""
        length, area, name = (1.0, MILLIMETRES["cm"], "cm²") if self._unit == "mm" else (25.4, 25.4, "in²")
        half = (self._heights[-1] - self._heights[0]) / max(len(self._heights) - 1, 1) / 2.0
        low, high = (float(each) / length for each in (self._heights[0] - half, self._heights[-1] + half))
        text = self.fontMetrics().height()
        painter.setPen(QColor(style.mixed(tone.hairline, tone.ink, 0.35)))
        painter.drawLine(plot.bottomLeft(), plot.bottomRight())
        ticks = round_ticks(low, high, TICKS)
        for number, value in enumerate(ticks):
            x = plot.left() + plot.width() * (value - low) / max(high - low, 1e-9)
            painter.setPen(QColor(tone.faint))
            painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + 3))
            last = number == len(ticks) - 1
            words = f"{value:g}" + (f" {'mm' if self._unit == 'mm' else 'in'}" if last else "")
            wide = self.fontMetrics().horizontalAdvance(words)
            start = min(max(x - wide / 2, 0.0), self.width() - wide)
            painter.drawText(QRectF(start, plot.bottom() + 4, wide + 2, text), LEFT, words)
        value = round_ticks(0.0, top / area**2, 3)[-1]
        y = plot.bottom() - plot.height() * value * area**2 / top
        painter.setPen(QPen(QColor(tone.hairline), 1.0))
        painter.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y))
        painter.setPen(QColor(tone.faint))
        words = f"{value:g} {name}"
        wide = self.fontMetrics().horizontalAdvance(words)
        painter.drawText(QRectF(plot.right() - wide, y - text - 1, wide + 2, text), LEFT, words)


def round_ticks(low: float, high: float, most: int) -> list[float]:
    """Give the round values within two ends, 1, 2 or 5 times a power of ten apart, no more than `most`."""
    step = 10.0 ** floor(log10(max(high - low, 1e-9)))
    step = next(
        step * share
        for share in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
        if (high - low) / (step * share) <= most - 1 + 1e-9
    )
    first = int(np.ceil(low / step - 1e-9))
    return [round(step * n, 9) for n in range(first, int(np.floor(high / step + 1e-9)) + 1)] or [high]
