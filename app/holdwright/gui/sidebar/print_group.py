"""What is left to do once the hold is shaped: the rows that lead to the pages of its print."""

from collections.abc import Callable, Mapping
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.print_texts import settings_text, total_text
from holdwright.gui.document.print_work import COMPUTING, PrintWork
from holdwright.gui.sidebar.step_line import StepLine
from holdwright.gui.sidebar.step_state import StepState
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, counted, in_unit
from holdwright.gui.widgets.painting import Rule

ROWS: Final[Mapping[str, tuple[str, str]]] = {
    "settings": ("Settings", "Printer, nozzle, layers, and what shell and core are filled with"),
    "layers": ("Layers", "What is printed at each height"),
    "estimate": ("Estimate", "Mass, filament, time and cost of shell and core"),
    "export": ("Export", "Write the files for the printer"),
}
"""Title and summary by the name of the page, in the order they are needed."""


class PrintGroup(QWidget):
    """A heading and a row for each page.

    Signals
    -------
    page_requested
        The name of a page.
    """

    page_requested = Signal(str)

    def __init__(self, document: Document, work: PrintWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._work = document, work
        self._unit: Preferred = "mm"
        self.setAccessibleName("To print")
        self.rows = {name: self._row(name) for name in ROWS}
        heading = TextLabel("To print", self, bold=True)
        margins = (style.MARGIN, style.GAP, style.MARGIN, style.GRID)
        column(Rule(self), row(heading, None, margins=margins), *self.rows.values(), on=self)
        for signal in (document.opened, document.recipe_changed, document.busy_changed, work.changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show settings and estimates as they are."""
        self.setVisible(bool(self._document.recipe.steps))
        for name, line in self.rows.items():
            line.show_state(self._state(name))

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def keyboard_path(self) -> list[QWidget]:
        """Give the rows, in order."""
        return list(self.rows.values())

    def _row(self, name: str) -> StepLine:
        line = StepLine(StepState(name, "", ROWS[name][0]), self, menu=False)
        line.clicked.connect(lambda: self.page_requested.emit(name))
        line.keyed.connect(lambda what: self._key(name, what))
        return line

    def _key(self, name: str, what: str) -> None:
        """Walk along the rows; the space bar does what a click does."""
        names = list(self.rows)
        place, last = names.index(name), len(names) - 1
        to = {"up": place - 1, "down": place + 1, "first": 0, "last": last}.get(what)
        if what == "skip":
            self.rows[name].click()
        elif to is not None:
            self.rows[names[min(max(to, 0), last)]].setFocus(Qt.FocusReason.TabFocusReason)

    def _state(self, name: str) -> StepState:
        title, summary = ROWS[name]
        told: dict[str, Callable[[], str]] = {
            "settings": lambda: settings_text(self._document.recipe.print),
            "layers": self._layers,
            "estimate": self._estimate,
        }
        result = in_unit(told.get(name, str)(), self._unit)
        stale = name in ("layers", "estimate") and not self._work.is_current
        return StepState(name, "", title, result, stale=stale, summary=summary)

    def _layers(self) -> str:
        view = self._work.view
        return counted(len(view.heights), "layer") if view is not None else ""

    def _estimate(self) -> str:
        view = self._work.view
        if self._work.sentence == COMPUTING:
            return "computing"
        return total_text(view, self._document.recipe.print) if view is not None else ""
