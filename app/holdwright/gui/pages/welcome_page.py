"""The empty window: it says what to do first."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from holdwright.files.format_detection import READ
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.pages.recent_file_row import RecentFileRow
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.palette import set_role

WIDTH: Final = 560

INSET: Final = 6 * style.GRID
"""From the window's edge to the line round the place to drop on, pixels."""


class WelcomePage(QWidget):
    """A place to drop a sculpt on, two buttons, and the files opened last."""

    open_asked = Signal()
    sample_asked = Signal()
    path_chosen = Signal(Path)

    def __init__(self, recents: RecentFiles, scheme: style.Scheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._recents = recents
        self._tone = style.colours(scheme)
        self._hovered = False
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

    def set_scheme(self, scheme: style.Scheme) -> None:
        """Take another scheme's colours."""
        self._tone = style.colours(scheme)
        self.refresh()
        self.update()

    def set_hovered(self, hovered: bool) -> None:
        """Show that what hangs over the window can be let go here."""
        self._hovered = hovered
        self.update()

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
        set_role(head, QPalette.ColorRole.WindowText, self._tone.faint)
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

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the place to drop on as a thin dashed line on paper."""
        del event
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._tone.paper))
        pen = QPen(QColor(self._tone.accent if self._hovered else self._tone.hairline), 2.0)
        pen.setDashPattern([4.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(QRect(INSET, INSET, self.width() - 2 * INSET, self.height() - 2 * INSET))
        painter.end()
