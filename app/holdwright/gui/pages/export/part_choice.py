"""Which parts of the hold are written: a box for each on the export page."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox
from holdwright.gui.widgets.layout import clear, column
from holdwright.hold.hold import CORE, SHELL, WHOLE

PART_WORDS: Final = {WHOLE: "The whole hold, in one piece", SHELL: "Shell", CORE: "Core"}


class PartChoice(QWidget):
    """Boxes of parts; what was left out stays so when the parts come again.

    Attributes
    ----------
    boxes
        By name of the part.

    Signals
    -------
    changed
        A part was chosen, or left out.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.boxes: dict[str, CheckBox] = {}
        self._left_out: set[str] = set()
        self._column = column(on=self, gap=style.GRID)

    @property
    def chosen(self) -> tuple[str, ...]:
        """Names of the parts to be written."""
        return tuple(name for name, box in self.boxes.items() if box.isChecked())

    def show_parts(self, names: Sequence[str]) -> None:
        """Offer the parts there are; one that is alone is written."""
        if tuple(self.boxes) == tuple(names):
            return
        clear(self._column)
        self.boxes = {}
        for name in names:
            tip = f"Write the {name}" if len(names) > 1 else "The recipe does not split the hold"
            box = CheckBox(PART_WORDS.get(name, name.capitalize()), self, tip)
            box.setChecked(name not in self._left_out or len(names) == 1)
            box.setEnabled(len(names) > 1)
            box.toggled.connect(lambda on, name=name: self._choose(name, chosen=on))
            self._column.addWidget(box)
            box.show()
            self.boxes[name] = box

    def _choose(self, name: str, *, chosen: bool) -> None:
        (self._left_out.discard if chosen else self._left_out.add)(name)
        self.changed.emit()
