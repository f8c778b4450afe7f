"""The empty window: it says what to do first."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from holdwright.files.format_detection import READ
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.pages.missing_sculpt import DropArea
from holdwright.gui.viewport import thumbnail
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import ClickedByEnter, QuietButton
from holdwright.gui.widgets.layout import TextLabel, clear, column, row
from holdwright.gui.widgets.painting import Painted, paint_frame
from holdwright.gui.widgets.picture_frame import paint_picture
from holdwright.printable import printable

WIDTH: Final = 560

INSET: Final = 6 * style.GRID
"""From the window's edge to the line round the place to drop on, pixels."""


class WelcomePage(DropArea):
    """A place to drop a sculpt on, two buttons, and the files opened last."""

    inset = INSET
    open_requested = Signal()
    sample_requested = Signal()
    path_chosen = Signal(Path)

    def __init__(self, recents: RecentFiles, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._recents = recents
        tip = "Choose a sculpt or a recipe from a folder (Ctrl+O)"
        self._open = QuietButton("Open...", self, primary=True, tip=tip, clicked=self.open_requested)
        tip = "Open a sample jug with a finished recipe"
        self._sample = QuietButton("Try the sample", self, tip=tip, clicked=self.sample_requested)
        self._list = column()
        self._lay_out()
        self.setFocusProxy(self._open)
        self.refresh()

    def refresh(self) -> None:
        """Show the files opened last as they are now."""
        clear(self._list)
        paths = self._recents.paths
        if not paths:
            return
        head = TextLabel("Recent files", self, faint=True)
        head.setContentsMargins(style.GRID, 0, 0, style.GRID)
        self._list.addWidget(head)
        for path in paths[:5]:
            line = RecentFileRow(path, self._recents.picture(path), self)
            line.clicked.connect(lambda _on=False, path=path: self.path_chosen.emit(path))
            self._list.addWidget(line)

    def _lay_out(self) -> None:
        sentence = TextLabel("Drop a sculpt here", self, title=True)
        detail = TextLabel(
            "Holdwright makes it one solid, turns it to the wall, then sizes, trims,\n"
            "bores and splits it into shell and core, ready to print.\n\n"
            f"{READ} files, or a saved recipe, set or wall.",
            self,
        )
        for button in (self._open, self._sample):
            button.setMinimumHeight(style.ROW)
        buttons = row(self._open, self._sample, None, gap=style.GAP)
        held = QWidget(self)
        held.setFixedWidth(WIDTH)
        items = (sentence, detail, buttons, style.MARGIN, self._list)
        column(*items, on=held, margins=None, gap=style.MARGIN)
        outer = QVBoxLayout(self)
        outer.addStretch(2)
        outer.addWidget(held, 0, Qt.AlignmentFlag.AlignHCenter)
        outer.addStretch(3)


class RecentFileRow(ClickedByEnter, Painted, QAbstractButton):
    """Opens the file when clicked."""

    smooth = True

    def __init__(self, path: Path, picture: QPixmap | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._path = path
        self._picture = picture
        self.setText(printable(path.name))
        self.setAccessibleName(f"Open {printable(path.name)}")
        self.setAccessibleDescription(printable(path.parent))
        self.setToolTip(printable(path))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for the picture."""
        return QSize(thumbnail.WIDTH + 60 * style.GRID, thumbnail.HEIGHT + 2 * style.GRID)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw picture, name and folder."""
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if self.underMouse() or self.isDown():
            painter.fillRect(self.rect(), QColor(tone.sunken))
        frame = QRectF(style.GRID, (self.height() - thumbnail.HEIGHT) / 2, thumbnail.WIDTH, thumbnail.HEIGHT)
        paint_picture(painter, self, frame, self._picture)
        left = int(frame.right()) + 3 * style.GRID
        line = self.fontMetrics().height()
        top = (self.height() - 2 * line) // 2
        room = self.width() - left - style.GRID
        for text, place, colour in (
            (printable(self._path.name), top, tone.ink),
            (printable(self._path.parent.name), top + line, tone.faint),
        ):
            shown = self.fontMetrics().elidedText(text, Qt.TextElideMode.ElideMiddle, room)
            painter.setPen(QColor(colour))
            painter.drawText(QRect(left, place, room, line), Qt.AlignmentFlag.AlignVCenter, shown)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setPen(QColor(tone.ink))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            paint_frame(painter, self)
