"""A value with the range it lies in."""

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Range:
    """What a value may be. Of a safety, low takes the unsafe end of every table at once."""

    low: float
    likely: float
    high: float

    @classmethod
    def between(cls, ends: tuple[float, float]) -> "Range":
        """Take the middle of two ends for the likely value."""
        return cls(ends[0], sum(ends) / 2.0, ends[1])

    @classmethod
    def by(cls, formula: Callable[..., float], *ranges: "Range") -> "Range":
        """Compute with the low values, the likely and the high ones."""
        return cls(
            formula(*(each.low for each in ranges)),
            formula(*(each.likely for each in ranges)),
            formula(*(each.high for each in ranges)),
        )

    @property
    def in_words(self) -> str:
        """As "0.35 (0.25 to 0.40)", each with what it is worth."""
        return f"{two_digits(self.likely)} ({two_digits(self.low)} to {two_digits(self.high)})"

    @property
    def reversed(self) -> "Range":
        """The same with its ends changed, for what falls where this rises."""
        return Range(self.high, self.likely, self.low)


def two_digits(value: float) -> str:
    """Write what a figure is worth: two digits, "0.38", "1.0" or "1600"."""
    if not math.isfinite(value):
        return "endless"
    rounded = float(f"{value:.2g}")
    places = max(1 - math.floor(math.log10(abs(rounded))), 0) if rounded else 0
    return f"{rounded:.{places}f}"
