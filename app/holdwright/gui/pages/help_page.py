"""The sheet that lies over the window on request: keys, and what to be careful of."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from holdwright.gui.pages.cover_page import CoverPage
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ScrollArea, TextLabel, column, row
from holdwright.gui.widgets.painting import Rule
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
POINTER_KEYS: Final[tuple[Keys, ...]] = (
    ("Drag", "Rotate the view"),
    ("Shift and drag", "Pan the view (or drag with the right button)"),
    ("Right click", "Copy a finding, place or figures; save the picture; change the view"),
    ("Wheel", "Zoom in or out"),
    ("Double-click", "Centre the view on a point"),
    ("Drag the section", "Drag its rim to move it through the hold"),
    ("Drag a handle", "Change the step; hold Alt to move freely, Escape cancels"),
    ("Click, Delete", "Select a piece of the sculpt; leave it out or use it"),
    ("Shift and click", "Add a tip to cut, or place a screw"),
    ("Arrows, + and -", "Rotate the view; zoom in or out"),
)
WALL_KEYS: Final[tuple[Keys, ...]] = (
    ("Drag, arrows", "Hang the chosen hold at another T-nut"),
    ("Drag the grip", "Turn it (or comma and full stop)"),
    ("Delete", "Take it off the wall"),
    ("N", "Choose the next hold"),
    ("Wheel, right drag", "Zoom in or out; move what is seen"),
)
LETTERS: Final = 110
"""Width of the sheet in letters of usual width."""


class HelpPage(CoverPage):
    """Covers its parent; Escape or "Back" puts it away.

    Parameters
    ----------
    window_keys, view_keys
        The window's own keys and those of the view, written as people read them, and what they do.
    """

    def __init__(self, parent: QWidget, window_keys: Sequence[Keys], view_keys: Sequence[Keys] = ()) -> None:
        super().__init__(parent, "Keys and safety", "the hold")
        self._page = QWidget()
        self._page.setMaximumWidth(LETTERS * self.fontMetrics().averageCharWidth())
        column(
            row(TextLabel("Keys and safety", self._page, title=True), None, self._back),
            Rule(self._page),
            self._keys_beside(window_keys, view_keys),
            Rule(self._page),
            TextLabel("Safety", self._page, bold=True),
            *(self._words(caution) for caution in CAUTIONS),
            None,
            on=self._page,
            margins=(2 * style.MARGIN,) * 4,
            gap=style.MARGIN,
        )
        middle = QWidget()
        row(None, (self._page, 100), None, on=middle)
        scroll = ScrollArea(middle, self)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        column(scroll, on=self)
        self.lie_over(parent)

    def open(self) -> None:
        """Lay it over the window."""
        self.come()
        self._back.setFocus()

    def _keys_beside(self, window_keys: Sequence[Keys], view_keys: Sequence[Keys]) -> QHBoxLayout:
        """Set the keys of window, route card and fields beside what the pointer does over the hold."""
        stacks = []
        for tables in (
            {"Everywhere": window_keys, "In the route card": CARD_KEYS, "In a field": FIELD_KEYS},
            {"Over the hold": (*POINTER_KEYS, *view_keys), "On a wall": WALL_KEYS},
        ):
            stack = column(gap=style.MARGIN)
            for title, keys in tables.items():
                stack.addWidget(TextLabel(title, self._page, bold=True))
                stack.addLayout(self._table(keys))
            stack.addStretch(1)
            stacks.append((stack, 1))
        return row(*stacks, gap=3 * style.MARGIN)

    def _table(self, keys: Sequence[Keys]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(style.MARGIN)
        grid.setVerticalSpacing(style.GAP)
        grid.setColumnStretch(1, 1)
        for row_number, (key, does) in enumerate(keys):
            name = TextLabel(key, self._page)
            name.setAlignment(Qt.AlignmentFlag.AlignTop)
            grid.addWidget(name, row_number, 0)
            grid.addWidget(self._words(does, faint=True), row_number, 1)
        return grid

    def _words(self, text: str, *, faint: bool = False) -> TextLabel:
        label = TextLabel(text, self._page, wrap=True, faint=faint)
        label.setAlignment(Qt.AlignmentFlag.AlignTop)
        return label
