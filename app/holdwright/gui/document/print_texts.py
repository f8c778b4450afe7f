"""Words on how a hold is printed: its settings, and what it takes, short enough for a row."""

from holdwright.export.layers_view import LayersView
from holdwright.gui.widgets.number_format import mass_text
from holdwright.pipeline.print_checks import PrintVerdict
from holdwright.printing.estimate_texts import currency, time_text
from holdwright.printing.part_estimates import BOTH
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import Range, two_digits


def settings_text(printed: PrintParameters) -> str:
    """Write the settings that say most."""
    return f"nozzle {printed.nozzle:g} mm, layers {printed.layer_height:g} mm"


def checks_text(verdict: PrintVerdict | None) -> str:
    """Write how many checks are passed."""
    if verdict is None:
        return ""
    if verdict.problem is not None:
        return "not checked"
    passed = sum(row.verdict == "passed" for row in verdict.rows)
    return f"{passed} of {len(verdict.rows)} passed"


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
