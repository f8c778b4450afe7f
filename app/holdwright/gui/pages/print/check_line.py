"""One check of the print: its figure and limit, and what came of it."""

from typing import Final

from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtGui import QColor, QContextMenuEvent, QFontMetrics, QPainter
from PySide6.QtWidgets import QAbstractButton, QWidget

from holdwright.gui.sidebar.finding_line import MARKS
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import ClickedByEnter
from holdwright.gui.widgets.copying import offer_copy
from holdwright.gui.widgets.number_format import (
    Preferred,
    breakable,
    held_together,
    in_unit,
    quantity_text,
    typeset,
)
from holdwright.gui.widgets.painting import (
    LEFT,
    RIGHT,
    WRAP,
    WrappedLine,
    icon_side,
    paint_frame,
    paint_mark,
    paint_tick,
)
from holdwright.hold.finding_builder import sentence_of
from holdwright.hold.finding_rank import rank
from holdwright.pipeline.replaying.print_checks import CheckRow

VERDICTS: Final = {"passed": "Passed", "note": "Note", "warning": "Warning", "error": "Error"}


class CheckLine(ClickedByEnter, WrappedLine, QAbstractButton):
    """Shows the check on the hold when clicked, and no longer when clicked again.

    Parameters
    ----------
    mapped
        Whether the hold is coloured by it.
    stale
        Whether it may no longer be true.
    """

    def __init__(
        self, row: CheckRow, unit: Preferred, parent: QWidget | None = None, *, mapped: bool, stale: bool
    ) -> None:
        super().__init__(parent)
        self.row, self._stale = row, stale
        self.setCheckable(True)
        self._title, self._figures = row.title, figures_of(row, unit)
        worst_first = sorted(row.findings, key=rank)
        found = [sentence_of(worst_first), worst_first[0].advice] if worst_first else [row.words, ""]
        self._words, self._advice = (held_together(typeset(in_unit(text, unit))) for text in found)
        self._words = self._words[:1].upper() + self._words[1:]
        self.setText(self._title)
        self.setAccessibleName(f"{VERDICTS[row.verdict]}: {self._title}")
        where = "Click to colour the hold by it." if mapped else "Click to show its place on the hold."
        self._leads = mapped or row.place is not None or any(each.where for each in row.findings)
        told = (self._figures, self._words, self._advice, where if self._leads else "")
        self.setAccessibleDescription(" ".join(filter(None, told)))
        self.setToolTip(" ".join(filter(None, (VERDICTS[row.verdict] + ".", where if self._leads else ""))))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        if self._leads:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.set_up()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer to copy the check."""
        text = "\n".join(filter(None, (self.accessibleName(), self._figures, self._words, self._advice)))
        offer_copy(self, "Copy check", text, event.globalPos())

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Give the height that all words take."""
        return max(rect.bottom() for rect in self._rects(width)) + style.GAP

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw ground, mark, title, figures and words."""
        ground = tone.paper if self.row.verdict == "passed" else getattr(tone, self.row.verdict)
        if self._stale:
            ground = style.mixed(ground, tone.paper, 0.7)
        elif self.isChecked() or (self._leads and self.underMouse()):
            ground = style.mixed(ground, tone.ink, 0.1 if self.isChecked() else 0.05)
        painter.fillRect(self.rect(), QColor(ground))
        ink = tone.quiet if self._stale else tone.ink
        head, figures, words, advice = self._rects(self.width())
        mark = QRect(style.GAP, head.top(), icon_side(self), head.height())
        if self.row.verdict == "passed":
            corner = QPointF(mark.left(), mark.center().y() - 7)
            paint_tick(painter, corner, QColor(tone.quiet))
        else:
            paint_mark(painter, MARKS[self.row.verdict], ink, mark, icon_side(self))
        painter.setFont(style.weighted(self.font(), heavy=self.isChecked()))
        painter.setPen(QColor(ink))
        painter.drawText(head, LEFT, self._title)
        painter.setFont(self.font())
        painter.drawText(figures, RIGHT if figures.top() == head.top() else LEFT, self._figures)
        painter.drawText(words, WRAP, breakable(self._words))
        painter.setPen(QColor(tone.quiet))
        painter.drawText(advice, WRAP, breakable(self._advice))
        if self.hasFocus():
            painter.setPen(QColor(tone.ink))
            paint_frame(painter, self, 1)

    def _rects(self, width: int) -> tuple[QRect, QRect, QRect, QRect]:
        """Give where title, figures, words and advice stand in a width; figures may go beneath."""
        left, line = style.GAP + icon_side(self) + style.GAP, self.fontMetrics().height()
        room = max(width - left - style.GAP, 40)
        head = QRect(left, style.GAP, room, line)
        heavy = QFontMetrics(style.weighted(self.font()))
        wide = heavy.horizontalAdvance(self._title) + self.fontMetrics().horizontalAdvance(self._figures)
        figures = head if wide + 2 * style.GAP <= room else head.translated(0, line)
        words = advice = QRect(left, figures.bottom(), room, 0)
        if self._words:
            words = advice = self.wrapped(breakable(self._words), left, figures.bottom() + 3, room)
        if self._advice:
            advice = self.wrapped(breakable(self._advice), left, words.bottom() + 3, room)
        return head, figures, words, advice


def figures_of(row: CheckRow, unit: Preferred) -> str:
    """Write a check's figure and its limit; blank where nothing was measured."""
    if row.figure is None:
        return ""
    if row.limit is None:
        return quantity_text(row.figure, row.unit, unit)
    of = max(row.figure, row.limit)
    figure, limit = (quantity_text(each, row.unit, unit, beside=of) for each in (row.figure, row.limit))
    return f"{figure}, limit {limit}"
