"""Editors of choices: a few words side by side, a list that drops down, or a tick."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFocusEvent, QFont, QFontMetrics, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QRadioButton, QSizePolicy, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.form.field_frame import field_height, paint_ground, paint_mark
from holdwright.gui.widgets import style
from holdwright.gui.widgets.check_box import CheckBox
from holdwright.gui.widgets.icons import icon_side
from holdwright.gui.widgets.palette import tones
from holdwright.parameters.describe import FieldDescription, value_text


class ChoiceButton(QRadioButton):
    """One of several words; the chosen one is heavier and underlined."""

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for the word at its heaviest."""
        return QSize(word_width(self.text(), self.font()), field_height(self))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never clip the word."""
        return self.sizeHint()

    def hitButton(self, place: object) -> bool:  # noqa: N802
        """Take a click anywhere on the word."""
        del place
        return True

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the word, a line beneath when chosen, a frame when the keyboard is here."""
        del event
        tone = tones(self)
        painter = QPainter(self)
        if self.underMouse() and not self.isChecked():
            painter.fillRect(self.rect(), QColor(style.mixed(tone.sunken, tone.hairline, 0.35)))
        painter.setFont(_weighted(self.font(), heavy=self.isChecked()))
        painter.setPen(QColor(tone.ink if self.isChecked() or self.underMouse() else tone.faint))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if self.isChecked():
            painter.fillRect(QRect(0, self.height() - 2, self.width(), 2), QColor(tone.ink))
        if self.hasFocus():
            painter.setPen(QColor(tone.ink))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()


def word_width(word: str, font: QFont) -> int:
    """Give the width one word of a choice takes."""
    return QFontMetrics(_weighted(font, heavy=True)).horizontalAdvance(word) + 4 * style.GRID


class WordsEditor(Editor):
    """A choice of few: all words side by side, on one line."""

    def __init__(self, field: FieldDescription, *, wide: bool, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self.wide = wide
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        self._words = {choice: ChoiceButton(value_text(field, choice), self) for choice in field.choices}
        for choice, word in self._words.items():
            word.setAccessibleName(f"{field.title}: {word.text()}")
            word.clicked.connect(lambda _checked=False, choice=choice: self.asked.emit(choice))
            row.addWidget(word)
        row.addStretch(1)

    def show_value(self, value: Any) -> None:
        """Show which word is chosen."""
        self._words[value].setChecked(True)

    def keyboard_widget(self) -> QWidget:
        """Give the chosen word."""
        return next(
            (word for word in self._words.values() if word.isChecked()), next(iter(self._words.values()))
        )

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the line the words stand on."""
        del event
        painter = QPainter(self)
        line = style.mixed(tones(self).hairline, tones(self).ink, 0.35)
        room = self.contentsRect()
        painter.fillRect(QRect(room.left(), room.bottom(), room.width(), 1), QColor(line))
        painter.end()


@dataclass(frozen=True)
class ListEntry:
    """One line of a list: the value, its words, and what is told of it."""

    value: object
    text: str
    told: str = ""


class DropList(QComboBox):
    """A list that drops down, drawn as a field."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give a field's height."""
        return QSize(super().sizeHint().width(), field_height(self))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give a field's height."""
        return QSize(super().minimumSizeHint().width(), field_height(self))

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Leave the wheel to the page: scrolling past changes nothing."""
        event.ignore()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Draw the line anew."""
        super().focusOutEvent(event)
        self.update()

    def showPopup(self) -> None:  # noqa: N802
        """Open the list wide enough for its longest line."""
        metrics = self.fontMetrics()
        widest = max(
            (metrics.horizontalAdvance(self.itemText(row)) for row in range(self.count())), default=0
        )
        self.view().setMinimumWidth(max(self.width(), widest + 2 * style.MARGIN))
        super().showPopup()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the strip, the words and an arrow."""
        del event
        painter = QPainter(self)
        paint_ground(painter, self, focused=self.hasFocus())
        tone = tones(self)
        arrow = QRect(self.width() - 6 * style.GRID, 0, 6 * style.GRID, self.height())
        paint_mark(painter, "chevron-down", tone.faint, arrow, icon_side(self))
        room = self.rect().adjusted(style.GAP, 0, -arrow.width(), 0)
        painter.setPen(QColor(tone.ink))
        text = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
        painter.end()


class ListEditor(Editor):
    """A choice of many.

    Parameters
    ----------
    groups
        Entries, in groups with a line between.
    """

    def __init__(
        self,
        field: FieldDescription,
        groups: Sequence[Sequence[ListEntry]],
        *,
        wide: bool,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(field, parent)
        self.wide = wide
        self._list = DropList(self)
        self._list.setAccessibleName(field.title)
        self._list.setToolTip(field.description)
        self._values: list[object] = []
        for group in groups:
            if self._values:
                self._list.insertSeparator(self._list.count())
                self._values.append(self)
            for entry in group:
                self._append(entry)
        self._list.activated.connect(self._chosen)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._list)

    def show_value(self, value: Any) -> None:
        """Show which entry is chosen; one that is not in the list is added to it."""
        if value not in self._values:
            self._append(ListEntry(value, str(value), "Not in the tables."))
        self._list.setCurrentIndex(self._values.index(value))
        self._list.setToolTip(str(self._list.currentData(Qt.ItemDataRole.ToolTipRole) or ""))

    def keyboard_widget(self) -> QWidget:
        """Give the list."""
        return self._list

    def _append(self, entry: ListEntry) -> None:
        self._list.addItem(entry.text)
        self._list.setItemData(self._list.count() - 1, entry.told or entry.text, Qt.ItemDataRole.ToolTipRole)
        self._values.append(entry.value)

    def _chosen(self, row: int) -> None:
        self.asked.emit(self._values[row])


class SwitchEditor(Editor):
    """Yes or no."""

    def __init__(self, field: FieldDescription, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._box = CheckBox("", self)
        self._box.setAccessibleName(field.title)
        self._box.clicked.connect(lambda on: self.asked.emit(on))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._box)
        row.addStretch(1)

    def show_value(self, value: Any) -> None:
        """Show yes or no."""
        self._box.setChecked(bool(value))

    def keyboard_widget(self) -> QWidget:
        """Give the box."""
        return self._box


def _weighted(font: QFont, *, heavy: bool) -> QFont:
    made = QFont(font)
    made.setWeight(QFont.Weight.DemiBold if heavy else QFont.Weight.Normal)
    return made
