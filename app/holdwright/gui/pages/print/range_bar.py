"""A load with the range it lies in, beside the one that is asked for, on a scale of equal factors."""

from math import log10
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import LEFT, Painted
from holdwright.ranges import Range, two_digits

THICK: Final = 10
KEY: Final = 9.0
"""Thickness of the bar, and side of a square that tells what its tint means, pixels."""
DARK: Final = 1.0
PALE: Final = 0.35
"""Strength of the two tints."""
ROOM: Final = 1.6
"""The scale goes so many times beyond the outermost figure, either way."""


class RangeBar(Painted, QWidget):
    """The range as a bar, the likely load as a tick in it, and the load asked for as a line across.

    Attributes
    ----------
    found, inner, asked
        The load with its whole range, the part of that range that tables account for (None for none), and
        what is asked for, N.
    """

    smooth = True

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found = Range(1.0, 1.0, 1.0)
        self.inner: Range | None = None
        self.asked = 1.0
        self._stale = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Load at which it breaks")

    def show_range(self, found: Range, inner: Range | None, asked: float, *, stale: bool) -> None:
        """Show other loads, N."""
        self.found, self.inner, self.asked, self._stale = found, inner, asked, stale
        words = f"{two_digits(found.low)} to {two_digits(found.high)} N, asked for {asked:.0f} N"
        self.setAccessibleDescription(words)
        self.setToolTip(
            "Pale: at least a factor of two either way. Dark: by the ranges of the tables, the law of the "
            "infill and the grid. The line is the load that the joint is judged for."
        )
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of bar and words."""
        return QSize(style.SIDEBAR_WIDTH, THICK + 3 * self.fontMetrics().height() + 6 * style.GRID)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw bar, tick and line with their figures."""
        low, high = min(self.found.low, self.asked) / ROOM, max(self.found.high, self.asked) * ROOM
        span = log10(high / low)

        def across(load: float) -> float:
            return self.width() * log10(max(load, low) / low) / span

        text = self.fontMetrics().height()
        top = text + 2.0 * style.GRID
        ink = QColor(tone.faint if self._stale else tone.ink)
        for ends, share in ((self.found, PALE), (self.inner, DARK)):
            if ends is not None:
                left, right = across(ends.low), across(ends.high)
                self._fill(painter, tone, QRectF(left, top, right - left, THICK), share)
        painter.setPen(QPen(ink, 2.0))
        at = across(self.found.likely)
        painter.drawLine(QPointF(at, top - 2), QPointF(at, top + THICK + 2))
        painter.setPen(QPen(QColor(tone.faint if self._stale else tone.accent), 1.5, Qt.PenStyle.DashLine))
        line = across(self.asked)
        painter.drawLine(QPointF(line, text), QPointF(line, top + THICK + style.GRID))
        painter.setPen(QColor(tone.faint))
        self._write(painter, line, 0.0, f"judged for {self.asked:.0f} N")
        below = top + THICK + style.GRID
        painter.setPen(ink)
        self._write_ends(painter, across(self.found.low), across(self.found.high), below)
        self._write_key(painter, tone, below + text + style.GRID)

    def _fill(self, painter: QPainter, tone: style.Colours, box: QRectF, share: float) -> None:
        """Draw part of the bar, so many times as strong as its darkest."""
        # Its edge is what it is seen by: the pale part alone has too little contrast.
        painter.setPen(QPen(QColor(tone.hairline if self._stale else tone.edge), 1.0))
        painter.setBrush(QColor(style.mixed(tone.paper, tone.shell, share * (0.4 if self._stale else 0.75))))
        painter.drawRoundedRect(box, 3.0, 3.0)

    def _write_ends(self, painter: QPainter, low: float, high: float, top: float) -> None:
        """Write the loads at both ends beneath them, side by side where these are near each other."""
        words = [f"{two_digits(load)} N" for load in (self.found.low, self.found.high)]
        wide = sum(map(self.fontMetrics().horizontalAdvance, words)) / 2.0 + 2.0 * style.GAP
        apart = max(wide - (high - low), 0.0) / 2.0
        self._write(painter, low - apart, top, words[0])
        self._write(painter, high + apart, top, words[1])

    def _write_key(self, painter: QPainter, tone: style.Colours, top: float) -> None:
        """Say what the dark part is and what the pale one is."""
        line, left = self.fontMetrics().height(), 0.5
        for share, words in ((DARK, "tables, infill, grid"), (PALE, "at least a factor of two")):
            if share == DARK and self.inner is None:
                continue
            self._fill(painter, tone, QRectF(left, top + (line - KEY) / 2.0, KEY, KEY), share)
            painter.setPen(QColor(tone.faint))
            left += KEY + style.GRID
            wide = self.fontMetrics().horizontalAdvance(words) + 2
            painter.drawText(QRectF(left, top, wide, line), LEFT, words)
            left += wide + 2.0 * style.GAP

    def _write(self, painter: QPainter, middle: float, top: float, words: str) -> None:
        wide = self.fontMetrics().horizontalAdvance(words) + 2
        left = min(max(middle - wide / 2.0, 0.0), self.width() - wide)
        painter.drawText(QRectF(left, top, wide, self.fontMetrics().height()), LEFT, words)
