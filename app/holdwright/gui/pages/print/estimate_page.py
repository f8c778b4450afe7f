"""What the print takes: mass, filament, time and cost of shell, core and both."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtWidgets import QWidget

from holdwright.export.layers_view import LayersView
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_texts import between, together
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.pages.print.part_table import PartTable, TableRow
from holdwright.gui.pages.print.print_page import EstimatedPage
from holdwright.gui.widgets import style
from holdwright.printing.estimate_texts import LONG, currency
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import Range, adding_up, places_of

NOTE: Final = (
    "Computed from every layer of the finished parts. The ranges are common practice without a source, and "
    "the time is the least sure of the figures. "
    "Supports, brim and a printer's own first layer are not in them."
)


class EstimatePage(EstimatedPage):
    """A table of all figures, likely ones with their range.

    Attributes
    ----------
    table
        Hidden while there are none.
    """

    def __init__(self, document: Document, work: PrintWork, parent: QWidget | None = None) -> None:
        super().__init__("Estimate", document, work, ("export", "Export"), parent)
        self.table = PartTable("What the print takes", self)
        self.column.addWidget(self.table)
        self.column.addSpacing(style.GAP)
        self._printed_with = self.add_words()
        self.add_words(NOTE, faint=True)
        self.column.addStretch(1)

    def show_work(self) -> None:
        """Write the figures."""
        view, printed = self.print_work.view, self.document.recipe.print
        self.table.setVisible(view is not None)
        self._printed_with.setVisible(view is not None)
        if view is not None:
            self.table.show_rows(
                tuple(view.estimates), estimate_rows(view, printed), stale=not self.print_work.is_current
            )
            self._printed_with.setText(_printed_with(printed, len(view.figures)))


def estimate_rows(view: LayersView, printed: PrintParameters) -> tuple[TableRow, ...]:
    """Write the estimates of all parts."""
    all_of = view.estimates.values()
    unit, seconds = ("h", 3600.0) if together(view).time.likely > LONG else ("min", 60.0)
    times = [Range.by(lambda time: time / seconds, each.time) for each in all_of]
    rows = (
        ("Mass", "g", [each.mass for each in all_of]),
        ("Filament", "m", [each.filament for each in all_of]),
        ("Time", unit, times),
        ("Cost", currency(printed), [each.cost for each in all_of]),
    )
    return tuple(
        TableRow(name, unit, tuple(zip(_likely(values), map(between, values), strict=True)))
        for name, unit, values in rows
    )


def _likely(row: Sequence[Range]) -> list[str]:
    """Write what is likely of each part, and of both, which the parts add up to as written."""
    places = places_of(row)
    return [f"{value:.{places}f}" for value in adding_up([each.likely for each in row], places)]


def _printed_with(printed: PrintParameters, parts: int) -> str:
    materials = (
        f"shell in {printed.shell_material}, core in {printed.core_material}"
        if parts > 1
        else printed.shell_material
    )
    return f"{printed.machine}: {materials}."
