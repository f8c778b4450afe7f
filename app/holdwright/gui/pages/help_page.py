"""The sheet that lies over the window when asked for: keys, and what to be careful of."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QPalette
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.painting import Paper, Rule
from holdwright.gui.widgets.palette import set_role, tones
from holdwright.gui.widgets.scroll_bar import ScrollBar
from holdwright.joint.cautions import CAUTIONS

Keys = tuple[str, str]
"""A key, or several, and what it does."""

CARD_KEYS: Final[tuple[Keys, ...]] = (
    ("Up, Down", "Go to the step above or below"),
    ("Enter", "Open or close the step"),
    ("Space", "Skip or include the step"),
    ("Delete", "Remove the step"),
    ("Menu key", "Open the step's menu"),
)
FIELD_KEYS: Final[tuple[Keys, ...]] = (
    ("Up, Down", "Increase or decrease"),
    ("Page Up, Down", "Increase or decrease by ten"),
    ("Enter", "Accept the typed value"),
    ("Escape", "Discard the typed value"),
    ("12 mm, 1.5 in", "Type lengths in either unit"),
)
HAND_KEYS: Final[tuple[Keys, ...]] = (
    ("Drag", "Rotate the view"),
    ("Shift and drag", "Pan the view (or drag with the right button)"),
    ("Wheel", "Zoom in or out"),
    ("Double-click", "Centre the view on a point"),
    ("Drag the section", "Drag its rim to move it through the hold"),
    ("Drag a handle", "Change the step; hold Alt to move freely, Escape cancels"),
    ("Click, Delete", "Select a piece of the sculpt; leave it out or use it"),
    ("Shift and click", "Add a tip to cut, or place a screw"),
    ("Arrows, + and -", "Rotate the view; zoom in or out"),
)
LETTERS: Final = 110
"""Width of the sheet in letters of usual width."""


class HelpPage(Paper):
    """Covers its parent; Escape or "Back" puts it away.

    Parameters
    ----------
    window_keys, view_keys
        The window's own keys and those of the view, written as people read them, and what they do.

    Signals
    -------
    closed
        It was put away.
    """

    closed = Signal()

    def __init__(self, parent: QWidget, window_keys: Sequence[Keys], view_keys: Sequence[Keys] = ()) -> None:
        super().__init__(parent)
        self.setAccessibleName("Keys and safety")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._back = QuietButton("Back", self)
        self._back.setToolTip("Back to the hold (Escape)")
        self._back.clicked.connect(self.put_away)
        self._faint: list[QLabel] = []
        self._page = QWidget()
        self._page.setMaximumWidth(LETTERS * self.fontMetrics().averageCharWidth())
        column = QVBoxLayout(self._page)
        column.setContentsMargins(2 * style.MARGIN, 2 * style.MARGIN, 2 * style.MARGIN, 2 * style.MARGIN)
        column.setSpacing(style.MARGIN)
        column.addLayout(self._head())
        column.addWidget(Rule(self._page))
        column.addLayout(self._keys_beside(window_keys, view_keys))
        column.addWidget(Rule(self._page))
        column.addWidget(self._title("Safety"))
        for caution in CAUTIONS:
            column.addWidget(self._words(caution))
        column.addStretch(1)
        self._lay_out()
        self.restyle()
        parent.installEventFilter(self)
        self.hide()

    def open(self) -> None:
        """Lay it over the window."""
        self._cover()
        self.show()
        self.raise_()
        self._back.setFocus()

    def put_away(self) -> None:
        """Take it off the window."""
        self.hide()
        self.closed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Follow the window's size."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._cover()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Put it away on Escape; keep all other keys from what lies beneath."""
        if event.key() == Qt.Key.Key_Escape:
            self.put_away()
        event.accept()

    def _cover(self) -> None:
        parent = self.parentWidget()
        if parent is not None:
            self.setGeometry(parent.rect())

    def _head(self) -> QHBoxLayout:
        title = QLabel("Keys and safety", self._page)
        title.setFont(style.title_font())
        row = QHBoxLayout()
        row.addWidget(title)
        row.addStretch(1)
        row.addWidget(self._back)
        return row

    def _keys_beside(self, window_keys: Sequence[Keys], view_keys: Sequence[Keys]) -> QHBoxLayout:
        """Set the keys of the window, its route card and fields beside what the hand does over the hold."""
        beside = QHBoxLayout()
        beside.setSpacing(3 * style.MARGIN)
        for tables in (
            {"Everywhere": window_keys, "In the route card": CARD_KEYS, "In a field": FIELD_KEYS},
            {"Over the hold": (*HAND_KEYS, *view_keys)},
        ):
            stack = QVBoxLayout()
            stack.setSpacing(style.MARGIN)
            for title, keys in tables.items():
                stack.addWidget(self._title(title))
                stack.addLayout(self._table(keys))
            stack.addStretch(1)
            beside.addLayout(stack, 1)
        return beside

    def _table(self, keys: Sequence[Keys]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(style.MARGIN)
        grid.setVerticalSpacing(style.GAP)
        grid.setColumnStretch(1, 1)
        for row, (key, does) in enumerate(keys):
            name = QLabel(key, self._page)
            name.setAlignment(Qt.AlignmentFlag.AlignTop)
            grid.addWidget(name, row, 0)
            words = self._words(does)
            self._faint.append(words)
            grid.addWidget(words, row, 1)
        return grid

    def _title(self, text: str) -> QLabel:
        label = QLabel(text, self._page)
        font = QFont(label.font())
        font.setWeight(QFont.Weight.DemiBold)
        label.setFont(font)
        return label

    def _words(self, text: str) -> QLabel:
        label = QLabel(text, self._page)
        label.setWordWrap(True)
        label.setAlignment(Qt.AlignmentFlag.AlignTop)
        return label

    def _lay_out(self) -> None:
        middle = QWidget()
        row = QHBoxLayout(middle)
        row.setContentsMargins(0, 0, 0, 0)
        row.addStretch(1)
        row.addWidget(self._page, 100)
        row.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setVerticalScrollBar(ScrollBar(scroll))
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(middle)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(scroll)

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        for label in self._faint:
            set_role(label, QPalette.ColorRole.WindowText, tones(self).faint)
