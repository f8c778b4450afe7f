"""A page that takes the sidebar's place: a title, a way back, one column, and a foot that stays."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox, QuietButton
from holdwright.gui.widgets.fold import Fold
from holdwright.gui.widgets.keyboard_order import ReadInOrder
from holdwright.gui.widgets.layout import ScrollArea, TextLabel, column, row
from holdwright.gui.widgets.painting import Rule
from holdwright.joint.cautions import CAUTIONS

NARROWEST: Final = 75 * style.GRID


class Page(ReadInOrder, QWidget):
    """One column of widgets, added from the top; Escape or "Back" puts it away.

    Signals
    -------
    closed
        It is to be put away.

    Attributes
    ----------
    column
        What scrolls.
    """

    closed = Signal()

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(title)
        self._content = self.scrolled = QWidget()
        margins = (style.MARGIN, style.GAP, style.MARGIN, style.MARGIN)
        self.column = column(on=self._content, margins=margins, gap=style.GRID)
        margins = (style.MARGIN, style.GAP + style.GRID, style.MARGIN, style.MARGIN)
        self._foot = column(margins=margins, gap=style.GAP)
        self._head = column()
        self._foot_rule = Rule(self)
        self._foot_rule.hide()
        self.back_button = QuietButton(
            "Back", self, tip="Back to the route card (Escape)", clicked=self.closed
        )
        self.setMinimumWidth(NARROWEST)
        self._frame(title)

    def add_heading(self, text: str) -> TextLabel:
        """Put a heading beneath what the column has."""
        label = TextLabel(text, self._content, bold=True)
        if self.column.count():
            self.column.addSpacing(style.MARGIN - style.GRID)
        self.column.addWidget(label)
        return label

    def add_words(self, text: str = "", *, faint: bool = False) -> TextLabel:
        """Put a paragraph beneath what the column has."""
        label = paragraph(text, self, faint=faint)
        self.column.addWidget(label)
        return label

    def add_tick(self, text: str, tip: str) -> CheckBox:
        """Put a box to be ticked beneath what the column has."""
        box = CheckBox(text, self, tip)
        self.column.addWidget(box)
        return box

    def add_head(self, widget: QWidget) -> None:
        """Put a widget above what scrolls."""
        self._head.addWidget(widget)

    def add_foot(self, widget: QWidget) -> None:
        """Put a widget beneath what scrolls."""
        self._foot.addWidget(widget)
        self._foot_rule.show()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the sidebar's width."""
        return QSize(style.SIDEBAR_WIDTH, super().sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Ask to be put away on Escape."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            event.accept()
            return
        super().keyPressEvent(event)

    def _frame(self, title: str) -> None:
        margins = (style.MARGIN, style.GAP, style.GAP, style.GAP)
        head = row(TextLabel(title, self, title=True), None, self.back_button, margins=margins)
        scroll = ScrollArea(self._content, self, follows=True)
        margins = (0, style.GRID, 0, 0)
        column(
            head,
            Rule(self),
            self._head,
            (scroll, 1),
            self._foot_rule,
            self._foot,
            on=self,
            margins=margins,
        )


def paragraph(text: str = "", parent: QWidget | None = None, *, faint: bool = False) -> TextLabel:
    """Make a paragraph in a page's type: it wraps and can be copied."""
    return TextLabel(text, parent, wrap=True, selectable=True, faint=faint)


def caution_fold(parent: QWidget, cautions: Sequence[str] = CAUTIONS) -> Fold:
    """Fold the cautions to one line that says the most of them."""
    words = QWidget(parent)
    column(*(paragraph(each, words) for each in cautions), on=words, gap=style.GRID)
    return Fold("Estimates, not a test to any standard", words, parent)
