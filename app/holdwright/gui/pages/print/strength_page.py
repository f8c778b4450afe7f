"""Where the hold breaks first: asked for by a button, with what would change it."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.strength_work import StrengthWork
from holdwright.gui.pages.page import paragraph
from holdwright.gui.pages.print.part_table import PartTable, TableRow
from holdwright.gui.pages.print.print_page import PrintPage
from holdwright.gui.pages.print.range_bar import RangeBar
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox, QuietButton
from holdwright.gui.widgets.fold import Fold
from holdwright.gui.widgets.layout import TextLabel, clear, column, row
from holdwright.gui.widgets.number_format import held_together, in_unit, typeset
from holdwright.gui.widgets.progress_line import progress_text
from holdwright.ranges import two_digits
from holdwright.strength.strength_result import LIMITS, Change, StrengthResult
from holdwright.strength.strength_texts import (
    change_groups,
    headline,
    ratio_text,
    refused_sentences,
    second_sentence,
    where_sentence,
)

_NAMES: Final = 0.5


class StrengthPage(PrintPage):
    """Run, range of the load, place and what-if table; fainter where hold or settings have changed since.

    Attributes
    ----------
    run_button, cancel_button
        One of them is shown.
    headline, where, bar, table
        Hidden while there is nothing to show.

    Signals
    -------
    place_shown
        The result to be drawn on the hold; None for none.
    """

    place_shown = Signal(object)

    def __init__(self, document: Document, work: StrengthWork, parent: QWidget | None = None) -> None:
        super().__init__("Strength", document, work, ("layers", "Layers"), parent)
        self._work = work
        self._shown: object = None
        self._result: StrengthResult | None = None
        self.run_button = QuietButton("Compute", self, primary=True, clicked=work.run)
        self.cancel_button = QuietButton("Cancel", self, clicked=work.cancel)
        self.finer = CheckBox("Finer cells", self, "Cells of two thirds the side: takes three times as long")
        self.finer.toggled.connect(self._choose_cells)
        controls = QWidget(self)
        row(self.run_button, self.cancel_button, self.finer, None, on=controls, gap=style.GAP)
        self.column.addWidget(controls)
        self._content = QWidget(self)
        self.headline = TextLabel("", self._content, bold=True, wrap=True)
        self.bar = RangeBar(self._content)
        self.where = paragraph("", self._content)
        self.second = paragraph("", self._content, faint=True)
        self.table = PartTable("What would change it", self._content, _NAMES)
        self._note = paragraph("", self._content, faint=True)
        self._cases = column(gap=style.GRID)
        self._assumptions = column(gap=style.GRID)
        column(
            style.GAP,
            self.headline,
            self.bar,
            self.where,
            self.second,
            style.GAP,
            self.table,
            self._note,
            self._fold("All loads", self._cases),
            self._fold("What this stands on", self._assumptions),
            on=self._content,
            gap=style.GRID,
        )
        self.column.addWidget(self._content)
        self.add_words(typeset(LIMITS), faint=True)
        self.column.addStretch(1)
        work.task.reported.connect(self._report)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Show what was computed before; nothing is begun."""
        QWidget.showEvent(self, event)
        self.refresh()
        self.place_shown.emit(self._result)

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """Show nothing of it on the hold any more."""
        super().hideEvent(event)
        self.place_shown.emit(None)

    @property
    def working(self) -> bool:
        """Whether it is being computed."""
        return self._work.running

    @property
    def total_words(self) -> str:
        """Near what load it breaks."""
        view = self._work.view
        return typeset(f"Breaks near {two_digits(view.result.worst.told.likely)} N") if view else ""

    def show_work(self) -> None:
        """Show what was computed last."""
        work = self._work
        self.run_button.setVisible(not work.running)
        self.run_button.set_words("Compute anew" if work.view is not None else "Compute")
        self.run_button.setEnabled(work.can_run)
        self.cancel_button.setVisible(work.running)
        self._result = work.view.result if work.view is not None else None
        self._content.setVisible(self._result is not None)
        shown = (work.view, work.is_current, self.unit)
        if shown == self._shown:
            return
        self._shown = shown
        if self._result is not None:
            self._show_result(self._result, stale=not work.is_current)
        self.place_shown.emit(self._result if work.is_current else None)

    def _show_result(self, result: StrengthResult, *, stale: bool) -> None:
        worst = result.worst
        self.headline.setText(self._words(headline(result)))
        self.headline.set_faint(stale)
        self.bar.setVisible(not worst.limp)
        self.bar.show_range(worst.told, worst.breaks_at, worst.force, stale=stale)
        self.where.setText(self._words(where_sentence(worst)))
        self.where.set_faint(stale)
        self.second.show_words(self._words(second_sentence(result)))
        self.table.show_rows(("load", "bending"), change_rows(result.changes), stale=stale)
        words = [f"Ratios to today, on cells of {result.cell:.3g} mm.", *refused_sentences(result.changes)]
        self._note.show_words(self._words(" ".join(words)) if result.changes else "")
        for layout, sentences in (
            (self._cases, [where_sentence(each) for each in result.cases[1:]]),
            (self._assumptions, [*result.printed, *result.assumptions, *result.sources]),
        ):
            clear(layout)
            for sentence in sentences:
                layout.addWidget(paragraph(self._words(sentence), self._content, faint=stale))

    def _words(self, text: str) -> str:
        return held_together(typeset(in_unit(text, self.unit)))

    def _choose_cells(self, on: bool) -> None:
        self._work.finer = on

    def _report(self, fraction: float, text: str) -> None:
        self.line.set_fraction(fraction)
        self.sentence.show_words(progress_text(fraction, text))

    def _fold(self, words: str, content: object) -> Fold:
        holder = QWidget(self._content)
        holder.setLayout(content)  # type: ignore[arg-type]
        return Fold(words, holder, self._content)


def change_rows(changes: tuple[Change, ...]) -> list[TableRow]:
    """Write the changes under their headings."""
    rows: list[TableRow] = []
    for title, found in change_groups(changes):
        rows.append(TableRow(title, "", ()))
        for each in found:
            ratios = [ratio_text(ratio) for ratio in (each.load, each.deflection)]
            texts = ["today", ""] if each.today else ratios
            cells = tuple((text.replace("x", "\N{MULTIPLICATION SIGN}"), "") for text in texts)
            rows.append(TableRow(each.name, "", cells))
    return rows
