"""The empty window: it says what to do first."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from holdwright.files.format_detection import READ
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.pages.drop_area import DropArea
from holdwright.gui.pages.recent_file_row import RecentFileRow
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.palette import set_role, tones

WIDTH: Final = 560

INSET: Final = 6 * style.GRID
"""From the window's edge to the line round the place to drop on, pixels."""


class WelcomePage(DropArea):
    """A place to drop a sculpt on, two buttons, and the files opened last."""

    inset = INSET
    open_asked = Signal()
    sample_asked = Signal()
    path_chosen = Signal(Path)

    def __init__(self, recents: RecentFiles, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._recents = recents
        self._sentence = QLabel("Drop a sculpt here", self)
        self._sentence.setFont(style.title_font())
        self._below = QLabel(
            "Holdwright makes it one solid, turns it to the wall, then sizes, trims,\n"
            "bores and splits it into shell and core, ready to print.\n\n"
            f"{READ} files, or a saved recipe.",
            self,
        )
        self._open = QuietButton("Open...", self, primary=True)
        self._open.setToolTip("Choose a sculpt or a recipe from a folder (Ctrl+O)")
        self._open.clicked.connect(self.open_asked)
        self._sample = QuietButton("Try the sample", self)
        self._sample.setToolTip("Open a sample jug with a finished recipe")
        self._sample.clicked.connect(self.sample_asked)
        self._list = QVBoxLayout()
        self._list.setSpacing(0)
        self._lay_out()
        self.setFocusProxy(self._open)
        self.refresh()

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        self.refresh()

    def refresh(self) -> None:
        """Show the files opened last as they are now."""
        while (taken := self._list.takeAt(0)) is not None:
            widget = taken.widget()
            if widget is not None:
                widget.deleteLater()
        paths = self._recents.paths
        if not paths:
            return
        head = QLabel("Recent files", self)
        head.setContentsMargins(style.GRID, 0, 0, style.GRID)
        set_role(head, QPalette.ColorRole.WindowText, tones(self).faint)
        self._list.addWidget(head)
        for path in paths[:5]:
            self._list.addWidget(self._opened_last(path))

    def _opened_last(self, path: Path) -> QWidget:
        """Make a line for a file."""
        line = RecentFileRow(path, self._recents.picture(path), self)
        line.clicked.connect(lambda _checked=False: self.path_chosen.emit(path))
        return line

    def _lay_out(self) -> None:
        column = QVBoxLayout()
        column.setSpacing(style.MARGIN)
        column.addWidget(self._sentence)
        column.addWidget(self._below)
        buttons = QHBoxLayout()
        buttons.setSpacing(style.GAP)
        for button in (self._open, self._sample):
            button.setMinimumHeight(style.ROW)
            buttons.addWidget(button)
        buttons.addStretch(1)
        column.addLayout(buttons)
        column.addSpacing(style.MARGIN)
        column.addLayout(self._list)
        held = QWidget(self)
        held.setFixedWidth(WIDTH)
        held.setLayout(column)
        outer = QVBoxLayout(self)
        outer.addStretch(2)
        outer.addWidget(held, 0, Qt.AlignmentFlag.AlignHCenter)
        outer.addStretch(3)
