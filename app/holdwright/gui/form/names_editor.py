"""An editor of names of pieces: the sculpt's pieces with ticks, and names or patterns typed in."""

from collections.abc import Sequence
from typing import Any, Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from holdwright.gui import style
from holdwright.gui.form.editor import Editor
from holdwright.gui.form.ground import field_height, paint_ground
from holdwright.gui.thin_bar import ThinBar
from holdwright.parameters.describe import FieldDescription
from holdwright.parameters.piece_names import meant_by, meant_by_any, without

MOST_ROWS: Final = 7


class NamesEditor(Editor):
    """Pieces that are ticked are named; a name that fits none of the present pieces is listed as well."""

    wide = True

    def __init__(self, field: FieldDescription, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._pieces: tuple[str, ...] = ()
        self._names: tuple[str, ...] = ()
        self._list = QListWidget(self)
        self._list.setAccessibleName(field.title)
        self._list.setFrameShape(QListWidget.Shape.NoFrame)
        self._list.setVerticalScrollBar(ThinBar(self._list))
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self._list.itemChanged.connect(self._ticked)
        self.typed_line = PlainLine(self)
        self.typed_line.setPlaceholderText("Name, or start of names*")
        self.typed_line.setAccessibleName(f"{field.title}: further name")
        self.typed_line.returnPressed.connect(self._add_typed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(style.GRID)
        column.addWidget(self._list)
        column.addWidget(self.typed_line)
        self._fill()

    def show_pieces(self, pieces: Sequence[str]) -> None:
        """Take the names of the sculpt's pieces."""
        if tuple(pieces) != self._pieces:
            self._pieces = tuple(pieces)
            self._fill()

    def show_value(self, value: Any) -> None:
        """Show which names are given."""
        if tuple(value) != self._names:
            self._names = tuple(value)
            self._fill()

    def keyboard_widget(self) -> QWidget:
        """Give the list, or the line while there is no list."""
        return self.typed_line if self._list.isHidden() else self._list

    def _fill(self) -> None:
        row = self._list.currentRow()
        blocked = self._list.blockSignals(True)
        self._list.clear()
        strangers = [name for name in self._names if not any(meant_by(name, each) for each in self._pieces)]
        for name in (*self._pieces, *strangers):
            item = QListWidgetItem(name, self._list)
            named = name in strangers or meant_by_any(self._names, name)
            item.setSizeHint(QSize(0, self._row_height()))
            item.setCheckState(Qt.CheckState.Checked if named else Qt.CheckState.Unchecked)
            item.setToolTip(f"{name}: no piece of this sculpt" if name in strangers else name)
        self._list.setCurrentRow(min(row, self._list.count() - 1))
        self._list.blockSignals(blocked)
        self._list.setFixedHeight(self._row_height() * min(max(self._list.count(), 1), MOST_ROWS))
        self._list.setVisible(self._list.count() > 0)

    def _row_height(self) -> int:
        return max(6 * style.GRID, self.fontMetrics().height() + style.GRID)

    def _ticked(self, item: QListWidgetItem) -> None:
        name = item.text()
        if item.checkState() == Qt.CheckState.Checked:
            self.asked.emit((*self._names, name))
        else:
            self.asked.emit(without(self._names, name, self._pieces))

    def _add_typed(self) -> None:
        name = self.typed_line.text().strip()
        self.typed_line.clear()
        if name and name not in self._names:
            self.asked.emit((*self._names, name))


class PlainLine(QLineEdit):
    """A line to type on, drawn as a field."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrame(False)
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.Base, Qt.GlobalColor.transparent)
        self.setPalette(palette)
        self.setTextMargins(style.GRID, 0, style.GRID, 0)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give a field's height."""
        return QSize(super().sizeHint().width(), field_height(self))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the strip beneath the text."""
        painter = QPainter(self)
        paint_ground(painter, self, focused=self.hasFocus())
        painter.end()
        super().paintEvent(event)
