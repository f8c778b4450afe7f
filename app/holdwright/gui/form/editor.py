"""The base of every editor of a value."""

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMenu, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import Placed, row
from holdwright.parameters.describe import FieldDescription


class Editor(QWidget):
    """Shows one value and reports what a user enters; what it shows is always what the recipe holds.

    An editor holds no value of its own: it reports what was requested, and shows what comes of it.

    Signals
    -------
    requested
        A new value, entered once.
    moved, settled
        A new value while a key or the pointer is still moving it; that is over.
    refused
        Why what was typed is no value, in words.
    pick_requested
        A place is to be picked in the view.

    Attributes
    ----------
    wide
        Whether it stands beneath its label instead of beside it.
    """

    requested = Signal(object)
    moved = Signal(object)
    settled = Signal()
    refused = Signal(str)
    pick_requested = Signal()
    wide = False

    def __init__(self, field: FieldDescription, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._keyboard: QWidget = self

    def show_value(self, value: Any) -> None:
        """Show a value, saying nothing."""
        raise TypeError(f"{type(self).__name__} cannot show {value!r}")

    def keyboard_widget(self) -> QWidget:
        """Give the part of it that takes the keyboard first."""
        return self._keyboard

    def hold(self, keyboard: QWidget, *items: Placed) -> None:
        """Lay items out in a row, and give the keyboard to one of them, called by the parameter's title."""
        self._keyboard = keyboard
        keyboard.setAccessibleName(self.field.title)
        row(*(items or (keyboard,)), on=self, gap=style.GAP)

    def close_down(self) -> None:
        """Hear of the document no longer: the editor is about to go."""

    def text_menu(self) -> QMenu | None:
        """Give the menu for the text under the pointer, where it has text to cut and paste."""
        return None
