"""Editors of words: a few side by side to choose from, a list that drops down, a tick, or a line of text."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import QComboBox, QRadioButton, QSizePolicy, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.form.field_frame import Field, PlainLine, field_height, paint_ground
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox
from holdwright.gui.widgets.layout import row
from holdwright.gui.widgets.painting import LEFT, Painted, icon_side, paint_frame, paint_mark
from holdwright.parameters.describe import FieldDescription, value_text


class ChoiceButton(Painted, QRadioButton):
    """One of several words; the chosen one is heavier and underlined."""

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for the word at its heaviest."""
        return QSize(word_width(self.text(), self.font()), field_height(self))

    minimumSizeHint = sizeHint  # noqa: N815

    def hitButton(self, place: object) -> bool:  # noqa: N802
        """Take a click anywhere on the word."""
        del place
        return True

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the word, a line beneath when chosen, a frame when the keyboard is here."""
        if self.underMouse() and not self.isChecked():
            painter.fillRect(self.rect(), QColor(style.mixed(tone.sunken, tone.hairline, 0.35)))
        painter.setFont(style.weighted(self.font(), heavy=self.isChecked()))
        ink = tone.ink if self.isChecked() or self.underMouse() else tone.faint
        ink = ink if self.isEnabled() else style.mixed(ink, tone.paper, 0.55)
        painter.setPen(QColor(ink))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if self.isChecked():
            painter.fillRect(QRect(0, self.height() - 2, self.width(), 2), QColor(ink))
        if self.hasFocus():
            painter.setPen(QColor(tone.ink))
            paint_frame(painter, self)


def word_width(word: str, font: QFont) -> int:
    """Give the width one word of a choice takes."""
    return QFontMetrics(style.weighted(font)).horizontalAdvance(word) + 4 * style.GRID


class ChoiceWords(QWidget):
    """Words side by side, of which one is chosen.

    Parameters
    ----------
    words
        By value: the word, its tooltip, and what it is called in full.

    Signals
    -------
    chosen
        A word was clicked: its value.
    """

    chosen = Signal(object)

    def __init__(self, words: Mapping[Any, tuple[str, str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = {value: ChoiceButton(word, self) for value, (word, _, _) in words.items()}
        for value, (_, tip, name) in words.items():
            self[value].setToolTip(tip)
            self[value].setAccessibleName(name)
            self[value].clicked.connect(lambda _on=False, value=value: self.chosen.emit(value))
        row(*self.words.values(), None, on=self)

    def __getitem__(self, value: Any) -> ChoiceButton:
        """Give the word of a value."""
        return self.words[value]


class WordsEditor(Painted, Editor):
    """A choice of few: all words side by side, on one line."""

    def __init__(self, field: FieldDescription, *, wide: bool, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self.wide = wide
        texts = {choice: value_text(field, choice) for choice in field.choices}
        named = {choice: (text, "", f"{field.title}: {text}") for choice, text in texts.items()}
        self._words = ChoiceWords(named, self)
        self._words.chosen.connect(self.requested)
        row(self._words, on=self)

    def show_value(self, value: Any) -> None:
        """Show which word is chosen."""
        self._words[value].setChecked(True)

    def keyboard_widget(self) -> QWidget:
        """Give the chosen word."""
        words = list(self._words.words.values())
        return next((word for word in words if word.isChecked()), words[0])

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the line the words stand on."""
        room = self.contentsRect()
        line = QColor(tone.edge)
        painter.fillRect(QRect(room.left(), room.bottom(), room.width(), 1), line)


@dataclass(frozen=True)
class ListEntry:
    """One line of a list: the value, its words, and its tooltip where it is not the words."""

    value: object
    text: str
    tip: str = ""


class DropList(Field, Painted, QComboBox):
    """A list that drops down, drawn as a field."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def showPopup(self) -> None:  # noqa: N802
        """Open the list wide enough for its longest line."""
        metrics = self.fontMetrics()
        widest = max(
            (metrics.horizontalAdvance(self.itemText(row)) for row in range(self.count())), default=0
        )
        self.view().setMinimumWidth(max(self.width(), widest + 2 * style.MARGIN))
        super().showPopup()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the strip, the words and an arrow."""
        paint_ground(painter, self, focused=self.hasFocus())
        arrow = QRect(self.width() - 6 * style.GRID, 0, 6 * style.GRID, self.height())
        paint_mark(painter, "chevron-down", tone.faint, arrow, icon_side(self))
        room = self.rect().adjusted(style.GAP, 0, -arrow.width(), 0)
        painter.setPen(QColor(tone.ink))
        text = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, LEFT, text)
        if self.hasFocus():
            paint_frame(painter, self)


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
        self._list.setToolTip(field.description)
        self._values: list[object] = []
        for group in groups:
            if self._values:
                self._list.insertSeparator(self._list.count())
                self._values.append(self)
            for entry in group:
                self._append(entry)
        self._list.activated.connect(self._chosen)
        self.hold(self._list)

    def show_value(self, value: Any) -> None:
        """Show which entry is chosen; one that is not in the list is added to it."""
        if value not in self._values:
            self._append(ListEntry(value, str(value), "Not in the tables."))
        self._list.setCurrentIndex(self._values.index(value))
        tip, whole = str(self._list.currentData(Qt.ItemDataRole.ToolTipRole) or ""), self._list.currentText()
        # Where the name has no room it is cut.
        self._list.setToolTip(tip if whole in tip else f"{whole}. {tip}")

    def _append(self, entry: ListEntry) -> None:
        self._list.addItem(entry.text)
        self._list.setItemData(self._list.count() - 1, entry.tip or entry.text, Qt.ItemDataRole.ToolTipRole)
        self._values.append(entry.value)

    def _chosen(self, row: int) -> None:
        self.requested.emit(self._values[row])


class SwitchEditor(Editor):
    """Yes or no."""

    def __init__(self, field: FieldDescription, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._box = CheckBox("", self)
        self._box.clicked.connect(lambda on: self.requested.emit(on))
        self.hold(self._box, self._box, None)

    def show_value(self, value: Any) -> None:
        """Show yes or no."""
        self._box.setChecked(bool(value))


class TextEditor(Editor):
    """A line of text, taken on Enter or when it is left."""

    wide = True

    def __init__(self, field: FieldDescription, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._line = PlainLine(self)
        self._shown = ""
        self._line.editingFinished.connect(self._finished)
        self.hold(self._line)

    def show_value(self, value: Any) -> None:
        """Show a text."""
        text = "" if value is None else str(value)
        if text != self._shown or not self._line.isModified():
            self._shown = text
            self._line.setText(text)

    def _finished(self) -> None:
        text = self._line.text()
        if text == self._shown:
            return
        self._line.setText(self._shown)
        self.requested.emit(text)
