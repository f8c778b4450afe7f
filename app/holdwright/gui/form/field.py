"""A field of a form: label, editor, and beneath them why a value was refused."""

from typing import Any, Final

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QAction, QColor, QContextMenuEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QMenu, QSizePolicy, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import TextLabel
from holdwright.gui.widgets.number_format import Preferred, in_unit, limits_text, scale_of, typeset
from holdwright.gui.widgets.painting import tones
from holdwright.parameters.describe import FieldDescription, value_text

_LABEL_LETTERS: Final = 15


class FieldLabel(TextLabel):
    """A parameter's title; a dot before it marks a value that is not the default."""

    def __init__(self, text: str, parent: QWidget) -> None:
        super().__init__(text.replace("&", "&&"), parent, wrap=True)
        self._marked = False
        self.setContentsMargins(2 * style.GRID, 0, 0, 0)

    def mark(self, marked: bool) -> None:
        """Show the dot, or no longer."""
        self._marked = marked
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the title and the dot."""
        super().paintEvent(event)
        if self._marked:
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(tones(self).ink))
            middle = self.rect().center().y() + 1 if self.height() < 40 else self.fontMetrics().height() / 2
            painter.drawEllipse(QPointF(2.5, middle), 2.0, 2.0)
            painter.end()


class FormField(QWidget):
    """Label and editor of one parameter.

    Attributes
    ----------
    is_changed
        Whether the value is not the default.
    refusal
        The label that says why the last value was refused; blank where it was not.

    Signals
    -------
    default_requested
        The value is to be the default again.
    """

    default_requested = Signal()

    def __init__(self, description: FieldDescription, editor: Editor, unit: Preferred) -> None:
        super().__init__()
        self.description = description
        self.editor = editor
        self._default = _written(description, description.default, unit)
        self._unit: Preferred = unit
        self.is_changed = False
        editor.setParent(self)
        self._label = FieldLabel(description.title, self)
        self._label.setBuddy(editor.keyboard_widget())
        self.refusal = TextLabel("", self, wrap=True, tint="error")
        self.refusal.hide()
        self._lay_out()
        editor.refused.connect(self.refuse)

    def show_value(self, value: Any) -> None:
        """Show a value."""
        self.editor.show_value(value)
        self.is_changed = value != self.description.default
        self._label.mark(self.is_changed)
        self._describe()

    def refuse(self, words: str) -> None:
        """Say beneath the editor why a value was refused."""
        self.refusal.show_words(typeset(in_unit(words, self._unit)))

    def accept(self) -> None:
        """Take the refusal away."""
        self.refusal.show_words("")

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer the default."""
        menu = self.editor.text_menu() or QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        first = next(iter(menu.actions()), None)
        back = QAction(f"Back to {self._default}" if self._default else "Back to default", menu)
        back.setEnabled(self.is_changed)
        back.triggered.connect(self.default_requested)
        if first is None:
            menu.addAction(back)
        else:
            menu.insertAction(first, back)
            menu.insertSeparator(first)
        menu.popup(event.globalPos())

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(style.GAP)
        grid.setVerticalSpacing(style.GRID)
        if self.editor.wide:
            grid.addWidget(self._label, 0, 0, 1, 2)
            grid.addWidget(self.editor, 1, 0, 1, 2)
            self.editor.setContentsMargins(2 * style.GRID, 0, 0, 0)
        else:
            self._label.setFixedWidth(self.fontMetrics().averageCharWidth() * _LABEL_LETTERS)
            grid.addWidget(self._label, 0, 0)
            grid.addWidget(self.editor, 0, 1)
            self.editor.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        grid.addWidget(self.refusal, 2, 0, 1, 2)
        grid.setColumnStretch(1, 1)

    def _describe(self) -> None:
        """Describe the value in tooltip and accessible description."""
        limits = limits_text(self.description, scale_of(self.description, self._unit))
        lines = [
            in_unit(self.description.description, self._unit),
            limits and f"{limits[:1].upper()}{limits[1:]}.",
            self._default
            and f"{'Changed; the default is' if self.is_changed else 'Default:'} {self._default}.",
        ]
        text = "\n".join(filter(None, lines))
        self.setToolTip(text)
        self._label.setToolTip(text)
        self.editor.keyboard_widget().setAccessibleDescription(text.replace("\n", " "))


def _written(field: FieldDescription, value: object, unit: Preferred) -> str:
    """Write a default as its editor would; blank where nothing is written."""
    if isinstance(value, float | int) and not isinstance(value, bool):
        return scale_of(field, unit).text(value)
    if field.kind in ("pick", "picks", "names", "position"):
        return ""
    return value_text(field, value)
