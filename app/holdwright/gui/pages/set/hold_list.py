"""The holds of a set as a list: picture, name, variant, count, how far it is, and what was found."""

import zipfile
from contextlib import suppress
from typing import Any, Final

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from holdwright.files.write_3mf import THUMBNAIL
from holdwright.gui.document.set_work import SetRow, SetWork, Status
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ScrollBar
from holdwright.gui.widgets.number_format import severity_counts
from holdwright.gui.widgets.painting import LEFT, tones
from holdwright.gui.widgets.picture_frame import paint_picture
from holdwright.gui.widgets.progress_line import progress_text
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.printable import printable

SIDE: Final = 64
"""Of a picture, pixels."""
ROW_HEIGHT: Final = SIDE + 4 * style.GRID
MOST_PICTURES: Final = 400
"""Pictures that are remembered."""
STATUS_WIDTH: Final = 260

WORDS: Final[dict[Status, str]] = {
    "waiting": "waiting",
    "working": "being finished",
    "finished": "finished",
    "unchanged": "kept from before",
    "failed": "failed",
}

Index = QModelIndex | QPersistentModelIndex


def variant_text(hold: PlannedHold) -> str:
    """Write what sets a hold apart from its sculpt, and what it is made from."""
    size = hold.size_name if not hold.size_name[:1].isdigit() else f"{hold.size_name} mm"
    sized = f"size {size}" if size and not size.endswith("mm") else size
    parts = (hold.sculpt.name, "mirrored" if hold.variant.mirror else "", sized)
    return printable(", ".join(filter(None, parts)))


def status_text(row: SetRow) -> str:
    """Write how far a hold is."""
    return progress_text(row.fraction, row.doing) if row.status == "working" else WORDS[row.status]


def findings_text(row: SetRow) -> str:
    """Write how many errors and warnings it has, or why it failed."""
    if row.made is None:
        return ""
    if not row.made.report:
        return printable(row.made.message)
    return (
        ", ".join(severity_counts(each["severity"] for each in row.made.report["findings"])) or "no warnings"
    )


class SetRows(QAbstractListModel):
    """The holds, for the list."""

    def __init__(self, work: SetWork, parent: QWidget) -> None:
        super().__init__(parent)
        self._work = work
        self._pictures: dict[str, QPixmap | None] = {}
        work.opened.connect(self._reset)
        work.row_changed.connect(self._tell)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008, N802
        """Give how many holds there are."""
        return 0 if parent.isValid() else len(self._work.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Give a hold's name, or all that is said of it for those who hear it read."""
        row = self._work.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return printable(row.hold.name)
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            said = (
                row.hold.name,
                variant_text(row.hold),
                f"{row.hold.count} of it",
                status_text(row),
                findings_text(row),
            )
            return printable(", ".join(filter(None, said)))
        return None

    def picture(self, row: SetRow) -> QPixmap | None:
        """Give what a finished hold looks like, as its 3MF has it; None where that is not there."""
        if row.made is None or not row.made.report:
            return None
        name = row.hold.name
        if name not in self._pictures:
            while len(self._pictures) >= MOST_PICTURES:
                self._pictures.pop(next(iter(self._pictures)))
            found = QPixmap()
            path = self._work.out / name / f"{name}.3mf"
            with suppress(OSError, KeyError, zipfile.BadZipFile), zipfile.ZipFile(path) as package:
                found.loadFromData(package.read(THUMBNAIL))
            self._pictures[name] = None if found.isNull() else found
        return self._pictures[name]

    def _reset(self) -> None:
        self.beginResetModel()
        self._pictures.clear()
        self.endResetModel()

    def _tell(self, number: int) -> None:
        if self._work.rows[number].status != "working":
            self._pictures.pop(self._work.rows[number].hold.name, None)
        self.dataChanged.emit(self.index(number), self.index(number))


class HoldList(QListView):
    """Lists the holds; arrow keys choose one, Enter or a double click opens it.

    Signals
    -------
    chosen
        Number of the hold that is looked at now.
    open_requested
        Number of a hold to be opened.
    """

    chosen = Signal(int)
    open_requested = Signal(int)

    def __init__(self, work: SetWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows = SetRows(work, self)
        self.setModel(self.rows)
        self.setItemDelegate(_RowPainter(work, self.rows, self))
        self.setAccessibleName("Holds of the set")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setUniformItemSizes(True)
        self.setMouseTracking(True)
        self.setVerticalScrollBar(ScrollBar(self))
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.doubleClicked.connect(lambda index: self.open_requested.emit(index.row()))
        self.selectionModel().currentChanged.connect(lambda index, _before: self.chosen.emit(index.row()))

    def choose(self, number: int) -> None:
        """Look at a hold."""
        self.setCurrentIndex(self.rows.index(number))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Open the chosen hold on Enter."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.open_requested.emit(self.currentIndex().row())
            event.accept()
            return
        super().keyPressEvent(event)


class _RowPainter(QStyledItemDelegate):
    def __init__(self, work: SetWork, rows: SetRows, parent: QListView) -> None:
        super().__init__(parent)
        self._work, self._rows, self._list = work, rows, parent

    def sizeHint(self, _option: QStyleOptionViewItem, _index: Index) -> QSize:  # noqa: N802
        """Give room for the picture."""
        return QSize(SIDE + 60 * style.GRID, ROW_HEIGHT)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw picture, name and variant, and status at the right."""
        row, tone, rect = self._work.rows[index.row()], tones(self._list), option.rect
        painter.save()
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(tone.sunken))
            painter.fillRect(QRect(rect.left(), rect.top(), 3, rect.height()), QColor(tone.accent))
        elif option.state & QStyle.StateFlag.State_MouseOver:
            painter.fillRect(rect, QColor(style.mixed(tone.paper, tone.sunken, 0.6)))
        painter.fillRect(QRect(rect.left(), rect.bottom(), rect.width(), 1), QColor(tone.hairline))
        frame = QRectF(rect.left() + style.MARGIN, rect.top() + 2 * style.GRID, SIDE, SIDE)
        paint_picture(painter, self._list, frame, self._rows.picture(row))
        left = int(frame.right()) + style.MARGIN
        right = rect.right() - style.MARGIN - STATUS_WIDTH
        self._paint_name(
            painter, QRect(left, rect.top(), right - left - style.MARGIN, rect.height()), row, tone
        )
        self._paint_status(painter, QRect(right, rect.top(), STATUS_WIDTH, rect.height()), row, tone)
        if option.state & QStyle.StateFlag.State_HasFocus and self._list.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setPen(QColor(tone.ink))
            painter.drawRect(rect.adjusted(0, 0, -1, -2))
        painter.restore()

    def _paint_name(self, painter: QPainter, room: QRect, row: SetRow, tone: style.Colours) -> None:
        copies = f" \N{MULTIPLICATION SIGN} {row.hold.count}" if row.hold.count > 1 else ""
        name = printable(row.hold.name) + copies
        self._paint_lines(painter, room, (name, tone.ink), (variant_text(row.hold), tone.faint), heavy=True)

    def _paint_status(self, painter: QPainter, room: QRect, row: SetRow, tone: style.Colours) -> None:
        told, ink = findings_text(row), tone.faint
        severity = self._severity(row)
        if severity:
            wide = min(painter.fontMetrics().horizontalAdvance(told) + 2 * style.GRID, room.width())
            line = painter.fontMetrics().height()
            tint = QRect(room.left() - style.GRID, room.center().y() + 1, wide, line)
            painter.fillRect(tint, QColor(getattr(tone, severity)))
            ink = tone.ink
        quiet = row.status in ("waiting", "unchanged")
        self._paint_lines(painter, room, (status_text(row), tone.faint if quiet else tone.ink), (told, ink))
        if row.status == "working":
            bar = QRectF(room.left(), room.center().y() + 8, room.width(), 2)
            painter.fillRect(bar, QColor(tone.hairline))
            painter.fillRect(QRectF(bar.left(), bar.top(), bar.width() * row.fraction, 2), QColor(tone.ink))

    def _severity(self, row: SetRow) -> str:
        """Give the tint of what was found; blank for none."""
        if row.status == "failed":
            return "error"
        found = {each["severity"] for each in row.made.report["findings"]} if row.made else set()
        return next((each for each in ("error", "warning") if each in found), "")

    def _paint_lines(
        self,
        painter: QPainter,
        room: QRect,
        first: tuple[str, str],
        second: tuple[str, str],
        *,
        heavy: bool = False,
    ) -> None:
        """Write two lines about the middle of a room."""
        middle, high = room.center().y(), painter.fontMetrics().height()
        plain = painter.font()
        for (text, ink), top in ((first, middle - high), (second, middle + 1)):
            painter.setFont(style.weighted(plain) if heavy and top < middle else plain)
            painter.setPen(QColor(ink))
            shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, room.width())
            painter.drawText(QRect(room.left(), top, room.width(), high), LEFT, shown)
        painter.setFont(plain)
