"""What is known of the chosen hold of a set."""

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.set_work import SetRow
from holdwright.gui.pages.page import paragraph
from holdwright.gui.pages.set.hold_list import status_text, variant_text
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, clear, column, row
from holdwright.gui.widgets.number_format import (
    Preferred,
    breakable,
    held_together,
    in_unit,
    mass_text,
    size_text,
    typeset,
)
from holdwright.printable import printable
from holdwright.printing.estimate_texts import time_text
from holdwright.sets.set_totals import estimate_of


class HoldDetails(QWidget):
    """Facts and findings of a hold, and what can be done with it.

    Signals
    -------
    open_requested, folder_requested
        The hold is to be opened; its folder is to be shown.
    """

    open_requested = Signal()
    folder_requested = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("The chosen hold")
        self._name = TextLabel("", self, wrap=True, bold=True)
        self._facts = paragraph("", self, faint=True)
        tip = "Open its sculpt with its recipe, as this variant"
        self.open_button = QuietButton("Open the hold", self, tip=tip, clicked=self.open_requested)
        tip = "Show the folder of its files"
        self.folder_button = QuietButton("Show its files", self, tip=tip, clicked=self.folder_requested)
        self._found = column(gap=style.GRID)
        buttons = row(self.open_button, self.folder_button, None, gap=style.GRID)
        column(self._name, self._facts, buttons, style.GRID, self._found, on=self, gap=style.GRID)

    @property
    def words(self) -> list[str]:
        """What is said of it below its facts."""
        items = (self._found.itemAt(number) for number in range(self._found.count()))
        return [widget.accessibleName() for item in items if item and (widget := item.widget())]

    def show_row(self, shown: SetRow | None, unit: Preferred, *, has_files: bool = False) -> None:
        """Show a hold, or that none is chosen."""
        self.setVisible(shown is not None)
        clear(self._found)
        if shown is None:
            return
        self._name.setText(breakable(printable(shown.hold.name)))
        self._facts.setText(breakable("\n".join(_facts(shown, unit))))
        self.folder_button.setEnabled(has_files)
        for severity, text in _told(shown):
            words = held_together(typeset(in_unit(text, unit)))
            label = TextLabel(breakable(words), self, wrap=True, selectable=True, tint=severity)
            label.setAccessibleName(f"{severity}: {text}")
            self._found.addWidget(label)


def _facts(shown: SetRow, unit: Preferred) -> list[str]:
    hold = shown.hold
    facts = [
        variant_text(hold),
        f"Recipe: {printable(hold.recipe)}",
        f"{hold.count} wanted, {status_text(shown)}",
    ]
    report: dict[str, Any] = shown.made.report if shown.made else {}
    if report:
        facts.append(size_text(tuple(report["finished"]["size_mm"]), unit))
    estimate = estimate_of(shown.made) if shown.made else {}
    if estimate:
        facts.append(
            f"{mass_text(estimate['mass_g']['likely'])}, {time_text(estimate['time_s']['likely'])} each"
        )
    return facts


def _told(shown: SetRow) -> list[tuple[str, str]]:
    if shown.made is None:
        return []
    if not shown.made.report:
        return [("error", shown.made.message)]
    return [(each["severity"], each["message"]) for each in shown.made.report["findings"]]
