"""One finding: its words on a tint, a mark, and what to try."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QContextMenuEvent, QPainter
from PySide6.QtWidgets import QAbstractButton, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import ClickedByEnter
from holdwright.gui.widgets.copying import offer_copy
from holdwright.gui.widgets.number_format import breakable, held_together, typeset
from holdwright.gui.widgets.painting import WRAP, WrappedLine, icon_side, paint_frame, paint_mark
from holdwright.hold.finding import Finding

MARKS: Final = {"note": "note", "warning": "flag", "error": "flag-filled"}
OF_PRINT: Final = "print"
"""Stands in place of a step's number where the checks of the print found it."""
WORDS: Final = {"note": "Note", "warning": "Warning", "error": "Error"}


class FindingLine(ClickedByEnter, WrappedLine, QAbstractButton):
    """Goes to the finding's place when clicked.

    Parameters
    ----------
    number
        Of the step that found it, as on the route card, or `OF_PRINT`.
    in_unit
        Gives a text with its lengths in the unit preferred.
    stale
        Whether it may no longer be true.
    sentence
        In place of its own, where the line stands for several alike: it unfolds them.
    """

    def __init__(
        self,
        number: str,
        finding: Finding,
        in_unit: Callable[[str], str] = str,
        parent: QWidget | None = None,
        *,
        stale: bool = False,
        sentence: str = "",
    ) -> None:
        super().__init__(parent)
        self._number = number
        self._message, self._advice = (
            held_together(typeset(in_unit(text))) for text in (sentence or finding.message, finding.advice)
        )
        self._severity = finding.severity
        self._stale = stale
        self.setText(self._message)
        self.setAccessibleName(f"{WORDS[finding.severity]}: {self._message}")
        of_print = number == OF_PRINT
        found_by = "the checks of the print" if of_print else f"step {number}"
        elsewhere = f"Click to open {'the checks' if of_print else 'the step'}."
        where = "Click to show the place on the hold." if finding.where else elsewhere
        where = "Click to show or hide each of them." if sentence else where
        self.setAccessibleDescription(f"{found_by.capitalize()}. {self._advice} {where}")
        self.setToolTip(f"{WORDS[finding.severity]}, found by {found_by}. {where}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.set_up()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer to copy the finding."""
        text = "\n".join(filter(None, (self.accessibleName(), self._advice)))
        offer_copy(self, "Copy finding", text, event.globalPos())

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Give the height that message and advice take."""
        message, advice = self._rects(width)
        return max(advice.bottom(), message.bottom()) + style.GAP

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw tint, mark, number, message and advice."""
        tint: str = getattr(tone, self._severity)
        if self._stale:
            tint = style.mixed(tint, tone.paper, 0.7)
        elif self.underMouse() or self.isDown():
            tint = style.mixed(tint, tone.ink, 0.06)
        painter.fillRect(self.rect(), QColor(tint))
        message, advice = self._rects(self.width())
        line = self.fontMetrics().height()
        side = icon_side(self)
        mark = QRect(style.MARGIN, style.GAP, side, line)
        paint_mark(painter, MARKS[self._severity], tone.quiet if self._stale else tone.ink, mark, side)
        painter.setPen(QColor(tone.quiet if self._stale else tone.ink))
        painter.drawText(message, WRAP, breakable(self._message))
        painter.setPen(QColor(tone.quiet))
        painter.drawText(advice, WRAP, breakable(self._advice))
        number = QRect(self.width() - 14 * style.GRID, style.GAP, 10 * style.GRID, line)
        painter.drawText(number, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, self._number)
        if self.hasFocus():
            painter.setPen(QColor(tone.ink))
            paint_frame(painter, self, 1)

    def _rects(self, width: int) -> tuple[QRect, QRect]:
        """Give where message and advice stand in a width."""
        left = style.MARGIN + icon_side(self) + style.GAP
        number = self.fontMetrics().horizontalAdvance(self._number) + style.GAP
        room = max(width - left - style.MARGIN - number, 40)
        message = self.wrapped(breakable(self._message), left, style.GAP, room)
        if not self._advice:
            return message, QRect(left, message.bottom(), room, 0)
        return message, self.wrapped(breakable(self._advice), left, message.bottom() + 3, room + number)
