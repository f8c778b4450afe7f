"""What is left to do once the hold is shaped: the rows that lead to the pages of its print."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.check_work import CheckWork
from holdwright.gui.document.document import Document
from holdwright.gui.document.hold_work import COMPUTING, HoldWork
from holdwright.gui.document.print_texts import checks_text, settings_text, total_text
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.document.strength_work import StrengthWork
from holdwright.gui.sidebar.step_line import StepLine
from holdwright.gui.sidebar.step_state import StepState
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, counted, in_unit
from holdwright.gui.widgets.painting import Rule
from holdwright.hold.finding import Finding
from holdwright.ranges import two_digits

ROWS: Final[Mapping[str, tuple[str, str]]] = {
    "settings": ("Settings", "Printer, nozzle, layers, and what shell and core are filled with"),
    "checks": ("Checks", "What may go wrong in the print"),
    "strength": ("Strength", "Where it breaks first, near what load, and what would change that"),
    "layers": ("Layers", "What is printed at each height"),
    "estimate": ("Estimate", "Mass, filament, time and cost of shell and core"),
    "export": ("Export", "Write the files for the printer"),
}
"""Title and summary by the name of the page, in the order they are needed."""


class PrintGroup(QWidget):
    """A heading with what the print takes, and beneath it, once unfolded, a row for each page.

    Signals
    -------
    page_requested
        The name of a page.
    folded
        The user folded the rows away or not.
    """

    page_requested = Signal(str)
    folded = Signal(bool)

    def __init__(
        self,
        document: Document,
        work: PrintWork,
        checks: CheckWork,
        strength: StrengthWork,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._work, self._checks, self._strength = document, work, checks, strength
        self._unit: Preferred = "mm"
        self.setAccessibleName("To print")
        self._content = QWidget(self)
        self.rows = {name: self._row(name) for name in ROWS}
        column(*self.rows.values(), on=self._content)
        self.headline = QuietButton("To print", self, icon_name="chevron-down", clicked=self._toggle)
        self.headline.setFont(style.weighted(self.headline.font()))
        self.total = TextLabel("", self)
        head = row(self.headline, None, self.total, margins=(style.GRID, 0, 8 * style.GRID, 0))
        column(Rule(self), head, self._content, on=self, gap=1)
        self.fold(True)
        for signal in (document.opened, document.recipe_changed, document.busy_changed):
            signal.connect(self.refresh)
        for signal in (work.changed, checks.changed, strength.changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show settings and estimates as they are."""
        self.setVisible(bool(self._document.recipe.steps))
        for name, line in self.rows.items():
            line.show_state(self._state(name))
        self.total.setText(_told(self._work, self._estimate) if self._content.isHidden() else "")
        self.total.set_faint(not self._work.is_current)

    def fold(self, folded: bool) -> None:
        """Fold the rows away, or show them."""
        self._content.setVisible(not folded)
        icon = "chevron-right" if folded else "chevron-down"
        self.headline.set_words("To print", icon_name=icon)
        self.headline.setToolTip(f"{'Show' if folded else 'Hide'} what is left to do for the printer")
        self.refresh()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def _toggle(self) -> None:
        folded = not self._content.isHidden()
        self.fold(folded)
        self.folded.emit(folded)

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
        told: dict[str, tuple[HoldWork[Any], Callable[[], str]]] = {
            "checks": (self._checks, self._checked),
            "strength": (self._strength, self._breaks),
            "layers": (self._work, self._layers),
            "estimate": (self._work, self._estimate),
        }
        if name not in told:
            result = settings_text(self._document.recipe.print) if name == "settings" else ""
            return StepState(name, "", title, in_unit(result, self._unit), summary=summary)
        work, words = told[name]
        found = self._found(name)
        serious = [each.severity for each in found if each.severity != "note"]
        return StepState(
            name,
            "",
            title,
            _told(work, words),
            stale=not work.is_current,
            flags=len(serious),
            grave="error" in serious,
            summary=summary,
        )

    def _found(self, name: str) -> tuple[Finding, ...]:
        document = self._document
        return {"checks": document.print_findings, "strength": document.strength_findings}.get(name, ())

    def _breaks(self) -> str:
        view = self._strength.view
        return f"near {two_digits(view.result.worst.told.likely)} N" if view is not None else ""

    def _checked(self) -> str:
        view = self._checks.view
        return checks_text(view.verdict, grave=False) if view is not None else ""

    def _layers(self) -> str:
        return counted(len(self._work.view.heights), "layer") if self._work.view is not None else ""

    def _estimate(self) -> str:
        view = self._work.view
        return total_text(view, self._document.recipe.print) if view is not None else ""


def _told(work: HoldWork[Any], words: Callable[[], str]) -> str:
    """Write what was computed, or that it is being or not yet computed."""
    if work.sentence == COMPUTING:
        return "computing"
    return words() if work.view is not None else "not yet"
