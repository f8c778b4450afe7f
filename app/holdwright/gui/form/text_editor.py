"""An editor of a text."""

from typing import Any

from PySide6.QtWidgets import QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.form.field_frame import PlainLine
from holdwright.parameters.describe import FieldDescription


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
        self.asked.emit(text)
