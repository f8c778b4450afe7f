"""The empty window: it says what to do first."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from holdwright.files.format_detection import READ
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.pages.missing_sculpt import DropArea
from holdwright.gui.viewport import thumbnail
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import ClickedByEnter, QuietButton
from holdwright.gui.widgets.layout import TextLabel, clear, column, row
from holdwright.gui.widgets.painting import Painted, paint_frame
from holdwright.printable import printable

WIDTH: Final = 560

INSET: Final = 6 * style.GRID
"""From the window's edge to the line round the place to drop on, pixels."""

_ROUND: Final = 3.0


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
            f"{READ} files, or a saved recipe.",
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
        self._paint_picture(painter, frame, tone)
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

    def _paint_picture(self, painter: QPainter, frame: QRectF, tone: style.Colours) -> None:
        """Draw what the file looks like; of one not seen yet, an outline of no hold in particular."""
        outline = QPainterPath()
        outline.addRoundedRect(frame, _ROUND, _ROUND)
        painter.setPen(QPen(QColor(tone.hairline), 1.0))
        if self._picture is None:
            painter.drawPath(outline)
            painter.setPen(QPen(QColor(style.mixed(tone.hairline, tone.faint, 0.4)), 1.2))
            painter.drawPath(_lump(frame))
            return
        painter.save()
        painter.setClipPath(outline)
        # Brought to the screen's size by itself: the painter would leave out two rows in three.
        fitting = self._picture.scaled(
            frame.size().toSize() * self.devicePixelRatioF(),
            Qt.AspectRatioMode.IgnoreAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        painter.drawPixmap(frame, fitting, QRectF(fitting.rect()))
        painter.restore()
        painter.drawPath(outline)


def _lump(frame: QRectF) -> QPainterPath:
    """Give the outline of a lump on a wall."""
    path = QPainterPath(QPointF(frame.left() + 16.0, frame.bottom() - 14.0))
    path.cubicTo(
        QPointF(frame.left() + 18.0, frame.top() + 8.0),
        QPointF(frame.right() - 26.0, frame.top() + 8.0),
        QPointF(frame.right() - 16.0, frame.bottom() - 14.0),
    )
    path.closeSubpath()
    return path
