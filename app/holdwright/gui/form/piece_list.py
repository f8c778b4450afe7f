"""The list of the sculpt's pieces: a tick to leave each out, its name, what came of it, and its figures."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ScrollBar
from holdwright.gui.widgets.painting import LEFT, RIGHT, TICK, paint_tick, tones

MOST_HIGH: Final = 62 * style.GRID
"""Beyond this height the list scrolls."""

_ROW: Final = Qt.ItemDataRole.UserRole
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class PieceRow:
    """What a row says."""

    name: str
    """Of the piece, or a name that fits none."""
    grade: str = ""
    """What came of it, at the right of its name."""
    figures: str = ""
    """Beneath; blank for a row of one line."""
    left_out: bool = False
    """Whether it is ticked."""
    tip: str = ""
    """Its tooltip: all that is known of it."""


class PieceList(QListWidget):
    """Rows of pieces.

    Signals
    -------
    ticked
        A row was ticked or unticked: its name.
    pointed
        The pointer is on the row of that name; blank for on none.
    """

    ticked = Signal(str)
    pointed = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.hot = ""
        self.setFrameShape(QListWidget.Shape.NoFrame)
        self.setVerticalScrollBar(ScrollBar(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setUniformItemSizes(True)
        self.setMouseTracking(True)
        self.setItemDelegate(_RowPainter(self))
        self.itemChanged.connect(self._changed)

    def show_rows(self, rows: Sequence[PieceRow]) -> None:
        """Show these rows; the one worked on stays so."""
        blocked = self.blockSignals(True)
        if [row.name for row in rows] != [self.item(place).text() for place in range(self.count())]:
            current = self.currentRow()
            self.clear()
            for row in rows:
                QListWidgetItem(row.name, self)
            self.setCurrentRow(min(current, self.count() - 1))
        for place, row in enumerate(rows):
            item = self.item(place)
            if item.data(_ROW) != row:
                item.setData(_ROW, row)
                item.setCheckState(Qt.CheckState.Checked if row.left_out else Qt.CheckState.Unchecked)
                item.setToolTip(row.tip)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{row.name}, {row.grade}, {row.figures}")
        self.blockSignals(blocked)
        high = max(self.sizeHintForRow(0), 1) * max(self.count(), 1)
        self.setFixedHeight(min(high, MOST_HIGH))
        self.setVisible(self.count() > 0)
        self.viewport().update()

    def heat(self, name: str) -> None:
        """Let the row of a name stand out, and scroll to it unless the pointer is in the list."""
        if name == self.hot:
            return
        self.hot = name
        found = self.findItems(name, Qt.MatchFlag.MatchExactly) if name and not self.underMouse() else []
        if found:
            self.scrollToItem(found[0])
        self.viewport().update()

    def go_to(self, name: str) -> None:
        """Choose the row of a name, and scroll to it; blank for none."""
        found = self.findItems(name, Qt.MatchFlag.MatchExactly) if name else []
        with QSignalBlocker(self):
            self.setCurrentItem(found[0]) if found else self.setCurrentRow(-1)
        self.viewport().update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Tell which row the pointer is on."""
        super().mouseMoveEvent(event)
        item = self.itemAt(event.position().toPoint())
        self.pointed.emit(item.text() if item is not None else "")

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Tick or untick on Delete, as in the view."""
        item = self.currentItem()
        if item is not None and event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.ticked.emit(item.text())
            return
        super().keyPressEvent(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Tell that the pointer is on none."""
        super().leaveEvent(event)
        self.pointed.emit("")

    def _changed(self, item: QListWidgetItem) -> None:
        row = item.data(_ROW)
        if isinstance(row, PieceRow) and (item.checkState() == Qt.CheckState.Checked) != row.left_out:
            self.ticked.emit(row.name)


class _RowPainter(QStyledItemDelegate):
    """Draws the rows of its list."""

    def __init__(self, shown_in: PieceList) -> None:
        super().__init__(shown_in)
        self._list = shown_in

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802
        """Give room for two lines where there are figures."""
        row = index.data(_ROW)
        lines = 2 if isinstance(row, PieceRow) and row.figures else 1
        return QSize(0, max(lines * option.fontMetrics.height() + 2 * style.GRID, 6 * style.GRID))

    def editorEvent(self, event: QEvent, model: Any, option: QStyleOptionViewItem, index: Index) -> bool:  # noqa: N802
        """Take a click on the tick, drawn a little elsewhere than usual, and the space bar."""
        if isinstance(event, QMouseEvent):
            on_tick = event.position().x() <= option.rect.x() + TICK + 3 * style.GRID
            if event.type() != QEvent.Type.MouseButtonRelease or not on_tick:
                return False
            checked = Qt.CheckState(index.data(Qt.ItemDataRole.CheckStateRole)) == Qt.CheckState.Checked
            state = Qt.CheckState.Unchecked if checked else Qt.CheckState.Checked
            return bool(model.setData(index, state, Qt.ItemDataRole.CheckStateRole))
        return super().editorEvent(event, model, option, index)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw tick, name, grade and figures."""
        row = index.data(_ROW)
        if not isinstance(row, PieceRow):
            return
        tone = tones(self._list)
        rect = option.rect
        current = index.row() == self._list.currentRow()
        painter.save()
        self._paint_ground(painter, rect, tone, current=current, hot=row.name == self._list.hot)
        self._paint_tick(painter, rect, tone, ticked=row.left_out)
        line = option.fontMetrics.height()
        left = rect.x() + TICK + 4 * style.GRID
        top = rect.y() + style.GRID if row.figures else rect.y() + (rect.height() - line) // 2
        right = rect.right() - 2 * style.GRID
        grade = option.fontMetrics.horizontalAdvance(row.grade)
        painter.setPen(QColor(tone.faint))
        painter.drawText(QRect(right - grade, top, grade + 1, line), RIGHT, row.grade)
        room = QRect(left, top + line, right - left, line)
        elided = option.fontMetrics.elidedText(row.figures, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, LEFT, elided)
        font = QFont(option.font)
        font.setStrikeOut(row.left_out)
        painter.setFont(font)
        painter.setPen(QColor(tone.faint if row.left_out else tone.ink))
        room = QRect(left, top, right - grade - 3 * style.GRID - left, line)
        elided = option.fontMetrics.elidedText(row.name, Qt.TextElideMode.ElideMiddle, room.width())
        painter.drawText(room, LEFT, elided)
        painter.restore()

    def _paint_ground(
        self, painter: QPainter, rect: QRect, tone: style.Colours, *, current: bool, hot: bool
    ) -> None:
        painter.fillRect(rect, QColor(style.mixed(tone.raised, tone.ink, 0.07) if hot else tone.raised))
        painter.fillRect(rect.x(), rect.bottom(), rect.width(), 1, QColor(tone.hairline))
        if current:
            painter.fillRect(rect.x(), rect.y(), 3, rect.height(), QColor(tone.accent))
            if self._list.hasFocus():
                painter.setPen(QColor(tone.ink))
                painter.drawRect(rect.adjusted(0, 0, -1, -1))

    def _paint_tick(self, painter: QPainter, rect: QRect, tone: style.Colours, *, ticked: bool) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(
            rect.x() + 2 * style.GRID + 0.5, rect.y() + (rect.height() - TICK) / 2, TICK - 1, TICK - 1
        )
        painter.setPen(QPen(QColor(style.mixed(tone.paper, tone.ink, 0.65)), 1.0))
        painter.setBrush(QColor(tone.raised))
        painter.drawRect(box)
        if ticked:
            paint_tick(painter, box.topLeft(), QColor(tone.ink))
