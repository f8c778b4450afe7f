"""Figures beneath each other, each with its limit, and a flag where it is outside."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from holdwright.gui.form.field_frame import paint_mark
from holdwright.gui.pages.joint.figure_texts import Line
from holdwright.gui.widgets import style
from holdwright.gui.widgets.icons import icon_side
from holdwright.gui.widgets.number_format import held_together, typeset
from holdwright.gui.widgets.palette import tones

_WRAP: Final = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class FigureLine(QWidget):
    """Name at the left, figure at the right, its limit fainter beneath; the source in the tooltip."""

    def __init__(self, line: Line, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.show_line(line)

    @property
    def line(self) -> Line:
        """What it says."""
        return self._line

    def show_line(self, line: Line) -> None:
        """Show another figure."""
        self._line = line
        self._text, self._limit = held_together(typeset(line.text)), held_together(typeset(line.limit))
        standing = "" if line.within_limit else "Outside the limit. "
        self.setAccessibleName(f"{line.name}: {self._text}")
        self.setAccessibleDescription(f"{standing}{self._limit}")
        self.setToolTip(f"{standing}{typeset(line.source)}")
        self.updateGeometry()
        self.update()

    def hasHeightForWidth(self) -> bool:  # noqa: N802
        """Tell that words wrap."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Give the height that figure and limit take."""
        return self._limit_rect(width).bottom() + style.GAP

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the usual size."""
        return QSize(style.SIDEBAR_WIDTH, self.heightForWidth(style.SIDEBAR_WIDTH))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a row."""
        return QSize(40 * style.GRID, style.ROW)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take another scheme's colours or another face."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self.updateGeometry()
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Write it."""
        del event
        tone = tones(self)
        painter = QPainter(self)
        row = QRect(0, style.GRID, self.width(), self.fontMetrics().height())
        painter.setPen(QColor(tone.ink))
        painter.drawText(row, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, self._line.name)
        font = QFont(self.font())
        font.setWeight(QFont.Weight.DemiBold)
        painter.setFont(font)
        painter.drawText(row, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, self._text)
        if not self._line.within_limit:
            side = icon_side(self)
            wide = painter.fontMetrics().horizontalAdvance(self._text)
            place = QRect(row.right() - wide - side - style.GRID, row.top(), side, row.height())
            paint_mark(painter, "flag-filled", tone.ink, place, side)
        painter.setFont(self.font())
        painter.setPen(
            QColor(tone.faint if self._line.within_limit else style.mixed(tone.faint, tone.ink, 0.6))
        )
        painter.drawText(self._limit_rect(self.width()), _WRAP, self._limit)
        painter.fillRect(QRect(0, self.height() - 1, self.width(), 1), QColor(tone.hairline))
        painter.end()

    def _limit_rect(self, width: int) -> QRect:
        top = style.GRID + self.fontMetrics().height() + 2
        rect = self.fontMetrics().boundingRect(QRect(0, top, max(width, 40), 10_000), _WRAP, self._limit)
        rect.setWidth(max(width, 40))
        return rect


class FigureList(QWidget):
    """Lines beneath each other; widgets are reused."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Figures of the joint")
        self.lines: list[FigureLine] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    def show_lines(self, lines: Sequence[Line]) -> None:
        """Show other figures."""
        while len(self.lines) > len(lines):
            gone = self.lines.pop()
            self._column.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for shown, line in zip(self.lines, lines, strict=False):
            if shown.line != line:
                shown.show_line(line)
        for line in lines[len(self.lines) :]:
            made = FigureLine(line, self)
            self._column.addWidget(made)
            made.show()
            self.lines.append(made)
