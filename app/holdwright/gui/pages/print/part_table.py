"""Figures of the parts side by side: a row for each figure, a column for each part."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QColor, QContextMenuEvent, QPainter
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.copying import offer_copy
from holdwright.gui.widgets.painting import LEFT, PARTS, RIGHT, Painted, paint_swatch, swatch_side

NAMES: Final = 0.19
"""Share of the width that the names of the figures have."""

Cell = tuple[str, str]
"""A figure, and the range it lies in; blank for none."""


@dataclass(frozen=True)
class TableRow:
    """One figure of all parts."""

    name: str
    unit: str
    """name, unit: written beneath each other at the left."""
    cells: tuple[Cell, ...]
    """One for each column."""


class PartTable(Painted, QWidget):
    """Figures heavier, their ranges fainter beneath; all of it fainter while it may no longer be true.

    A row without cells is a heading over those below it.

    Parameters
    ----------
    names
        Share of the width that the names have.

    Attributes
    ----------
    columns, rows
        What is shown.
    stale
        Whether it may no longer be true.
    """

    def __init__(self, name: str, parent: QWidget | None = None, names: float = NAMES) -> None:
        super().__init__(parent)
        self._name, self._names = name, names
        self.columns: tuple[str, ...] = ()
        self.rows: tuple[TableRow, ...] = ()
        self.stale = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)

    def show_rows(self, columns: Sequence[str], rows: Sequence[TableRow], *, stale: bool = False) -> None:
        """Show other figures."""
        self.columns, self.rows, self.stale = tuple(columns), tuple(rows), stale
        words = "; ".join(self._lines())
        self.setAccessibleDescription(f"Out of date: {words}" if stale else words)
        self.updateGeometry()
        self.update()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer to copy the figures."""
        offer_copy(self, "Copy figures", "\n".join(self._lines()), event.globalPos())

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of all rows."""
        height = sum(self._height(each) for each in self.rows)
        return QSize(style.SIDEBAR_WIDTH, self._line() + 2 * style.GRID + height if self.rows else 0)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Write head and rows."""
        quiet = style.mixed(tone.faint, tone.paper, 0.35 if self.stale else 0.0)
        ink = quiet if self.stale else tone.ink
        line, left = self._line(), round(self._names * self.width())
        wide = (self.width() - left) / max(len(self.columns), 1)

        def place(column: int, top: int) -> QRect:
            return QRect(round(left + column * wide), top, round(wide), line)

        painter.setFont(style.weighted(self.font()))
        for number, part in enumerate(self.columns):
            words = part.capitalize()
            room = place(number, style.GRID)
            painter.setPen(QColor(ink))
            painter.drawText(room, RIGHT, words)
            if part in PARTS:
                before = painter.fontMetrics().horizontalAdvance(words) + swatch_side(self) + style.GRID
                paint_swatch(painter, self, part, room.right() + 1 - before, room.center().y() + 1)
        top = line + 2 * style.GRID
        for row in self.rows:
            painter.fillRect(0, top - 1, self.width(), 1, QColor(tone.hairline))
            self._paint_row(painter, row, top + style.GRID, (ink, quiet), place)
            top += self._height(row)

    def _paint_row(self, painter: QPainter, row: TableRow, top: int, inks: tuple[str, str], place) -> None:  # type: ignore[no-untyped-def]
        ink, quiet = inks
        line = self._line()
        names = QRect(0, top, round((self._names if row.cells else 1.0) * self.width()), line)
        painter.setFont(self.font() if row.cells else style.weighted(self.font()))
        painter.setPen(QColor(ink))
        painter.drawText(names, LEFT, row.name)
        painter.setPen(QColor(quiet))
        painter.drawText(names.translated(0, line), LEFT, row.unit)
        for number, (figure, ends) in enumerate(row.cells):
            painter.setFont(style.weighted(self.font()))
            painter.setPen(QColor(ink))
            painter.drawText(place(number, top), RIGHT, figure)
            painter.setFont(self.font())
            painter.setPen(QColor(quiet))
            painter.drawText(place(number, top + line), RIGHT, ends)

    def _line(self) -> int:
        return self.fontMetrics().height()

    def _height(self, row: TableRow) -> int:
        double = bool(row.unit) or any(ends for _, ends in row.cells)
        return (2 if double else 1) * self._line() + 2 * style.GRID

    def _lines(self) -> list[str]:
        return [
            f"{row.name}, {part}: {figure} {row.unit}{f' ({ends})' if ends else ''}"
            for row in self.rows
            for part, (figure, ends) in zip(self.columns, row.cells, strict=False)
        ]
