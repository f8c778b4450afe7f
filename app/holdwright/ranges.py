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
    places = places_of(row)
    after = f" {unit}" if unit else ""

    def written(value: float) -> str:
        return f"{value:.{places}f}{after}" if math.isfinite(value) else "endless"

    likely = adding_up([each.likely for each in row], places)
    return [
        f"{written(middle)} ({each.low:.{places}f} to {written(each.high)})"
        for middle, each in zip(likely, row, strict=True)
    ]


def places_of(row: Sequence[Range]) -> int:
    """Give how many decimals the least likely value of a row is worth."""
    least = min((each.likely for each in row if each.likely > 0.0), default=1.0)
    return max(1 - math.floor(math.log10(least)), 0)


def adding_up(values: Sequence[float], places: int) -> list[float]:
    """Round several parts and, after them, their sum, so that what is written of the parts adds up to it.

    Those parts go up that lie nearest to the next figure, so that none is off by a whole one.

    >>> adding_up([175.6, 64.6, 240.2], 0)
    [176.0, 64.0, 240.0]
    """
    step = 10.0**-places
    if len(values) < 3 or not all(map(math.isfinite, values)):
        return [round(value, places) if math.isfinite(value) else value for value in values]
    *parts, total = (value / step for value in values)
    whole = [math.floor(part) for part in parts]
    missing = round(total) - sum(whole)
    nearest = sorted(range(len(parts)), key=lambda number: whole[number] - parts[number])
    for number in nearest[: max(missing, 0)]:
        whole[number] += 1
    return [round(each * step, places) for each in (*whole, round(total))]
