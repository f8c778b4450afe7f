"""What all copies of all holds of a set take: mass, filament, time and cost."""

from collections.abc import Iterable
from typing import Final

from holdwright.sets.run_set import MadeHold

_TOTALS: Final = ("mass_g", "filament_m", "time_s", "cost")


def totals_of(made: Iterable[MadeHold]) -> dict[str, dict[str, float]]:
    """Add up mass, filament, time and cost of all copies."""
    totals = {name: dict.fromkeys(("low", "likely", "high"), 0.0) for name in _TOTALS}
    for each in made:
        estimate = estimate_of(each)
        for name, total in totals.items():
            for end, value in estimate.get(name, {}).items():
                total[end] += value * each.hold.count
    return {
        name: {end: float(f"{value:.4g}") for end, value in total.items()} for name, total in totals.items()
    }


def estimate_of(made: MadeHold) -> dict[str, dict[str, float]]:
    """Give a hold's estimate, of one copy; empty where there is none."""
    printed = made.report.get("print", {})
    found: dict[str, dict[str, float]] = printed.get("both") or printed.get("whole") or {}
    return found
