"""What may go wrong in the print: every check with its figure, its limit and its map."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.check_work import CheckWork
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_texts import checks_text
from holdwright.gui.pages.print.check_line import CheckLine
from holdwright.gui.pages.print.print_page import PrintPage
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import clear, column
from holdwright.gui.widgets.layout import row as layout_row
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.pipeline.replaying.print_checks import CheckRow

NOTE = (
    "Estimates from the shape and from the settings, whose limits stand on the page before; no test to any "
    "standard."
)


class ChecksPage(PrintPage):
    """A list of all checks, those that are not passed tinted; the chosen one is shown on the hold.

    Attributes
    ----------
    lines, offers
        By the code of the check; offers are buttons that take what a check proposes.

    Signals
    -------
    check_chosen
        The row of the check to be shown on the hold; None for none.
    """

    check_chosen = Signal(object)

    def __init__(self, document: Document, work: CheckWork, parent: QWidget | None = None) -> None:
        super().__init__("Checks", document, work, ("strength", "Strength"), parent)
        self.lines: dict[str, CheckLine] = {}
        self.offers: dict[str, QuietButton] = {}
        self._chosen = ""
        self._shown: object = None
        self._list = QWidget(self)
        self._lines = column(on=self._list, gap=1)
        self.column.addWidget(self._list)
        self.column.addSpacing(style.GAP)
        self._note = self.add_words(NOTE, faint=True)
        self.column.addStretch(1)
        self._work = work

    @property
    def total_words(self) -> str:
        """How many are passed."""
        view = self._work.view
        return checks_text(view.verdict) if view is not None else ""

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """Show nothing of it on the hold any more."""
        super().hideEvent(event)
        self._choose("")

    def show_work(self) -> None:
        """Show all checks."""
        view, stale = self._work.view, not self._work.is_current
        verdict = view.verdict if view is not None else None
        self._list.setVisible(verdict is not None)
        self._note.setVisible(verdict is not None)
        if verdict is not None and verdict.problem is not None:
            self.sentence.show_words(verdict.problem.message)
        shown = (view, stale, self.unit)
        if shown == self._shown:
            return
        self._shown = shown
        had_focus = next((code for code, line in self.lines.items() if line.hasFocus()), "")
        clear(self._lines)
        self.lines, self.offers = {}, {}
        for row in verdict.rows if verdict is not None else ():
            self._add(row, self.unit, mapped=view is not None and row.code in view.mapped, stale=stale)
        if had_focus in self.lines:
            self.lines[had_focus].setFocus()
        if self._chosen not in self.lines:
            self._choose("")
        elif not stale:
            self.lines[self._chosen].setChecked(True)
            self.check_chosen.emit(self.lines[self._chosen].row)

    def _add(self, row: CheckRow, unit: Preferred, *, mapped: bool, stale: bool) -> None:
        line = CheckLine(row, unit, self._list, mapped=mapped, stale=stale)
        line.clicked.connect(lambda on: self._choose(row.code if on else ""))
        self._lines.addWidget(line)
        line.show()
        self.lines[row.code] = line
        self._offer(row, unit, stale=stale)

    def _offer(self, row: CheckRow, unit: Preferred, *, stale: bool) -> None:
        """Offer what a check proposes, where the recipe has a step for it."""
        proposal, steps = row.proposal, self.document.recipe.steps
        ids = [
            step.id for step in steps if proposal and step.operation == proposal.operation and step.enabled
        ]
        if stale or proposal is None or not ids:
            return
        button = QuietButton(in_unit(proposal.words, unit), self._list)
        button.clicked.connect(
            lambda: self.document.edits.edit(ids[-1], {proposal.parameter: proposal.value})
        )
        holder = QWidget(self._list)
        layout_row(button, None, on=holder, margins=(style.GAP, 0, 0, style.GRID))
        self._lines.addWidget(holder)
        holder.show()
        self.offers[row.code] = button

    def _choose(self, code: str) -> None:
        before, self._chosen = self._chosen, code
        for name, line in self.lines.items():
            line.setChecked(name == code)
        if code:
            self.check_chosen.emit(self.lines[code].row)
        elif before:
            self.check_chosen.emit(None)
