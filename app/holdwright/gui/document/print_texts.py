"""Words on how a hold is printed: its settings, and what it takes, short enough for a row."""

from collections import Counter

from holdwright.export.layers_view import LayersView
from holdwright.gui.widgets.number_format import counted, mass_text
from holdwright.pipeline.replaying.print_checks import PrintVerdict
from holdwright.printing.estimate_texts import currency, time_text
from holdwright.printing.part_estimates import BOTH
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import Range, two_digits


def settings_text(printed: PrintParameters) -> str:
    """Write the settings that say most."""
    return f"nozzle {printed.nozzle:g} mm, layers {printed.layer_height:g} mm"


def checks_text(verdict: PrintVerdict | None, *, grave: bool = True) -> str:
    """Write how many checks are passed, or have notes and, where asked for, warnings and errors."""
    if verdict is None:
        return ""
    if verdict.problem is not None:
        return "not checked"
    counts: Counter[str] = Counter(row.verdict for row in verdict.rows)
    told = ("note", "warning", "error") if grave else ("note",)
    noted = [counted(counts[each], each) for each in told if counts[each]]
    return ", ".join([f"{counts['passed']} passed", *noted])


def together(view: LayersView) -> PrintEstimate:
    """Give what all parts take."""
    return view.estimates.get(BOTH) or next(iter(view.estimates.values()))


def total_text(view: LayersView, printed: PrintParameters) -> str:
    """Write what all parts take: mass, time and cost."""
    total = together(view)
    cost = f"{two_digits(total.cost.likely)} {currency(printed)}".rstrip()
    return f"{mass_text(total.mass.likely)}, {time_text(total.time.likely)}, {cost}"


def between(value: Range) -> str:
    """Write the ends of a range."""
    low, high = two_digits(value.low), two_digits(value.high)
    return low if low == high else f"{low}\N{EN DASH}{high}"
