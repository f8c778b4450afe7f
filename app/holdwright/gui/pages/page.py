"""A page that takes the sidebar's place: a title, a way back, one column, and a foot that stays."""

from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QPalette
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.check_box import CheckBox
from holdwright.gui.widgets.painting import Restyled, Rule
from holdwright.gui.widgets.palette import set_role, tones
from holdwright.gui.widgets.scroll_bar import ScrollBar

NARROWEST: Final = 75 * style.GRID


class Page(Restyled, QWidget):
    """One column of widgets, added from the top; Escape or "Back" puts it away.

    Signals
    -------
    closed
        It asks to be put away.

    Attributes
    ----------
    column
        What scrolls.
    """

    closed = Signal()

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(title)
        self._faint: list[QLabel] = []
        self._content = QWidget()
        self.column = QVBoxLayout(self._content)
        self.column.setContentsMargins(style.MARGIN, style.GAP, style.MARGIN, style.MARGIN)
        self.column.setSpacing(style.GRID)
        self._foot = QVBoxLayout()
        self._foot.setContentsMargins(style.MARGIN, style.GAP + style.GRID, style.MARGIN, style.MARGIN)
        self._foot.setSpacing(style.GAP)
        self._foot_rule = Rule(self)
        self._foot_rule.hide()
        self.back_button = QuietButton("Back", self)
        self.back_button.setToolTip("Back to the route card (Escape)")
        self.back_button.clicked.connect(self.closed)
        self.setMinimumWidth(NARROWEST)
        self._frame(title)

    def add_heading(self, text: str) -> QLabel:
        """Put a heading beneath what is there."""
        label = QLabel(text, self._content)
        font = QFont(label.font())
        font.setWeight(QFont.Weight.DemiBold)
        label.setFont(font)
        if self.column.count():
            self.column.addSpacing(style.MARGIN - style.GRID)
        self.column.addWidget(label)
        return label

    def add_words(self, text: str = "", *, faint: bool = False) -> QLabel:
        """Put a paragraph beneath what is there."""
        label = self.words(text, faint=faint)
        self.column.addWidget(label)
        return label

    def words(self, text: str = "", *, faint: bool = False) -> QLabel:
        """Make a paragraph in the page's type."""
        label = QLabel(text, self)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if faint:
            self._faint.append(label)
            set_role(label, QPalette.ColorRole.WindowText, tones(self).faint)
        return label

    def add_tick(self, text: str, told: str) -> CheckBox:
        """Put a box to be ticked beneath what is there."""
        box = self.tick(text, told)
        self.column.addWidget(box)
        return box

    def tick(self, text: str, told: str) -> CheckBox:
        """Make a box to be ticked."""
        box = CheckBox(text, self)
        box.setToolTip(told)
        return box

    def add_foot(self, widget: QWidget) -> None:
        """Put a widget beneath what scrolls."""
        self._foot.addWidget(widget)
        self._foot_rule.show()

    def add_rule(self) -> None:
        """Put a hairline beneath what is there."""
        self.column.addSpacing(style.GAP)
        self.column.addWidget(Rule(self._content))

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

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        for label in self._faint:
            set_role(label, QPalette.ColorRole.WindowText, tones(self).faint)

    def _frame(self, title: str) -> None:
        name = QLabel(title, self)
        name.setFont(style.title_font())
        head = QHBoxLayout()
        head.setContentsMargins(style.MARGIN, style.GAP, style.GAP, style.GAP)
        head.addWidget(name)
        head.addStretch(1)
        head.addWidget(self.back_button)
        scroll = QScrollArea(self)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setVerticalScrollBar(ScrollBar(scroll))
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._content)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, style.GRID, 0, 0)
        outer.setSpacing(0)
        outer.addLayout(head)
        outer.addWidget(Rule(self))
        outer.addWidget(scroll, 1)
        outer.addWidget(self._foot_rule)
        outer.addLayout(self._foot)
