"""What all holds of a set take: totals, what to buy, and the plates."""

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.gui.document.set_work import SetWork
from holdwright.gui.pages.page import caution_fold, paragraph
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import TextLabel, clear, column
from holdwright.gui.widgets.number_format import breakable, counted, held_together, mass_text
from holdwright.gui.widgets.painting import RIGHT
from holdwright.printable import printable
from holdwright.printing.estimate_texts import currency, time_text
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import two_digits
from holdwright.sets.set_totals import totals_of
from holdwright.sets.shopping_list import ShoppingItem, shopping_list

BETWEEN: Final = "\N{EN DASH}"


class SetSummary(QWidget):
    """Totals of all that is finished so far, the shopping list and the plates."""

    def __init__(self, work: SetWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._totals, self._buy, self._plates = (FigureTable(self) for _ in range(3))
        self._nothing = paragraph("Listed once a hold is finished.", self, faint=True)
        self._no_plates = paragraph("Laid out once every hold is there.", self, faint=True)
        self.setAccessibleName("The whole set")
        headings = (TextLabel(text, self, bold=True) for text in ("All together", "To buy", "Plates"))
        together, buy, plates = headings
        column(
            *(
                together,
                self._totals,
                style.GAP,
                buy,
                self._buy,
                self._nothing,
                style.GAP,
                plates,
                self._plates,
                self._no_plates,
            ),
            *(style.GAP, caution_fold(self), None),
            on=self,
            gap=style.GRID,
        )

    @property
    def lines(self) -> list[str]:
        """All that it says, line by line."""
        return [*self._totals.lines, *self._buy.lines, *self._plates.lines]

    def refresh(self) -> None:
        """Add up what is finished."""
        made = self._work.made
        self._totals.show_rows(_totals(made))
        self._buy.show_rows([_bought(item) for item in shopping_list(made)])
        self._nothing.setVisible(not self._buy.lines)
        report = self._work.report or {}
        self._plates.show_rows([_plate(each) for each in report.get("plates", ())])
        self._no_plates.setVisible(not self._plates.lines)


class FigureTable(QWidget):
    """Names at the left, figures at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: list[tuple[str, str]] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(style.MARGIN)
        self._grid.setVerticalSpacing(style.GRID)
        self._grid.setColumnStretch(0, 1)

    @property
    def lines(self) -> list[str]:
        """What it says, line by line."""
        return [f"{name}: {figure}" for name, figure in self._shown]

    def show_rows(self, rows: list[tuple[str, str]]) -> None:
        """Show other rows."""
        if rows == self._shown:
            return
        self._shown = rows
        clear(self._grid)
        for number, (name, figure) in enumerate(rows):
            words = TextLabel(held_together(breakable(printable(name))), self, wrap=True)
            value = TextLabel(figure, self, faint=True)
            value.setAlignment(RIGHT)
            self._grid.addWidget(words, number, 0)
            self._grid.addWidget(value, number, 1)
        self.setAccessibleDescription(printable("; ".join(self.lines)))


def _totals(made: list[Any]) -> list[tuple[str, str]]:
    totals = totals_of(made)
    copies = sum(each.hold.count for each in made)

    def ends(name: str, text: Callable[[float], str]) -> str:
        low, high = (text(totals[name][end]) for end in ("low", "high"))
        unit = high.partition(" ")[2]
        first = low.removesuffix(unit).rstrip() if unit else low
        return high if low == high else f"{first}{BETWEEN}{high}"

    if not copies:
        return [("Finished", "nothing yet")]
    return [
        ("Finished", counted(copies, "hold")),
        ("Mass", ends("mass_g", mass_text)),
        ("Time of printing", ends("time_s", time_text)),
        (f"Cost of filament{_currency(made)}", ends("cost", two_digits)),
    ]


def _currency(made: list[Any]) -> str:
    """Name the currency where every hold has that of the tables; else it is that of the prices entered."""
    settings = [each.report.get("print", {}).get("settings") for each in made]
    names = {currency(PrintParameters.model_validate(each)) for each in settings if each}
    return f", {names.pop()}" if len(names) == 1 and "" not in names else ", currency of the prices"


def _bought(item: ShoppingItem) -> tuple[str, str]:
    if item.unit == "kg":
        return f"{item.item} filament ({item.note})", f"{item.quantity:.2f} kg"
    return item.item, f"{item.quantity:.0f}"


def _plate(plate: dict[str, Any]) -> tuple[str, str]:
    return plate["file"], f"{counted(len(plate['holds']), 'hold')}, {100.0 * plate['covered']:.0f} % covered"
