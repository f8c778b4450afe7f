"""Figures beneath each other, each with its limit, and a mark where it is outside."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter
from PySide6.QtWidgets import QWidget

from holdwright.gui.pages.joint.figure_texts import FigureText
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import column, resize_list
from holdwright.gui.widgets.number_format import held_together, typeset
from holdwright.gui.widgets.painting import WRAP, WrappedLine, icon_side, paint_mark


class FigureLine(WrappedLine, QWidget):
    """Name at the left, figure at the right, its limit fainter beneath; the source in the tooltip."""

    def __init__(self, line: FigureText, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_up()
        self.show_line(line)

    def show_line(self, line: FigureText) -> None:
        """Show another figure."""
        self.line = line
        self._text, self._limit = held_together(typeset(line.text)), held_together(typeset(line.limit))
        standing = "" if line.within_limit else "Outside the limit. "
        self.setAccessibleName(f"{line.name}: {self._text}")
        self.setAccessibleDescription(f"{standing}{self._limit}")
        self.setToolTip(f"{standing}{typeset(line.source)}")
        self.updateGeometry()
        self.update()

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Give the height that name, figure and limit take."""
        return self._limit_rect(width).bottom() + style.GAP

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Write it."""
        high = self.fontMetrics().height()
        row = QRect(0, style.GRID, self.width(), high)
        painter.setPen(QColor(tone.ink))
        painter.drawText(row, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, self.line.name)
        row.translate(0, high * self._in_two(self.width()))
        painter.setFont(style.weighted(self.font()))
        painter.drawText(row, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, self._text)
        if not self.line.within_limit:
            side = icon_side(self)
            wide = painter.fontMetrics().horizontalAdvance(self._text)
            place = QRect(row.right() - wide - side - style.GRID, row.top(), side, row.height())
            paint_mark(painter, "flag-filled" if self.line.decides else "note", tone.ink, place, side)
        painter.setFont(self.font())
        strong = 0.0 if self.line.within_limit else 0.6
        painter.setPen(QColor(style.mixed(tone.faint, tone.ink, strong)))
        painter.drawText(self._limit_rect(self.width()), WRAP, self._limit)
        painter.fillRect(QRect(0, self.height() - 1, self.width(), 1), QColor(tone.hairline))

    def _in_two(self, width: int) -> bool:
        """Tell whether name and figure have no room beside each other, so that the figure goes below."""
        bold = QFontMetrics(style.weighted(self.font()))
        flag = 0 if self.line.within_limit else icon_side(self) + style.GRID
        wide = self.fontMetrics().horizontalAdvance(self.line.name) + bold.horizontalAdvance(self._text)
        return wide + flag + 2 * style.GRID > width

    def _limit_rect(self, width: int) -> QRect:
        top = style.GRID + self.fontMetrics().height() * (1 + self._in_two(width)) + 2
        return self.wrapped(self._limit, 0, top, max(width, 40))


class FigureList(QWidget):
    """Lines beneath each other; widgets are reused."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Figures of the joint")
        self.lines: list[FigureLine] = []
        self._column = column(on=self)

    def show_lines(self, lines: Sequence[FigureText]) -> None:
        """Show other figures."""
        resize_list(self._column, self.lines, len(lines), lambda: FigureLine(lines[len(self.lines)], self))
        for shown, line in zip(self.lines, lines, strict=True):
            if shown.line != line:
                shown.show_line(line)
