"""A value with the range it lies in."""

import math
from collections.abc import Callable, Sequence
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


def alike(row: Sequence[Range], unit: str = "") -> list[str]:
    """Write ranges that stand in a row with as many decimals as the least of them is worth.

    >>> alike([Range(173.2, 178.6, 184.1), Range(51.9, 53.5, 55.0)], "g")
    ['179 g (173 to 184 g)', '54 g (52 to 55 g)']
    """
    least = min((each.likely for each in row if each.likely > 0.0), default=1.0)
    places = max(1 - math.floor(math.log10(least)), 0)
    after = f" {unit}" if unit else ""

    def written(value: float) -> str:
        return f"{value:.{places}f}{after}" if math.isfinite(value) else "endless"

    return [f"{written(each.likely)} ({each.low:.{places}f} to {written(each.high)})" for each in row]
