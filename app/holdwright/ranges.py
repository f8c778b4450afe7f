"""A value with the range it lies in."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Range:
    """What a value may be: its least, its likely and its greatest."""

    low: float
    likely: float
    high: float

    @classmethod
    def by(cls, formula: Callable[..., float], *ranges: "Range") -> "Range":
        """Compute with the low values, the likely and the high ones."""
        return cls(
            formula(*(each.low for each in ranges)),
            formula(*(each.likely for each in ranges)),
            formula(*(each.high for each in ranges)),
        )

    @classmethod
    def between(cls, ends: tuple[float, float]) -> "Range":
        """Take the middle of two ends for the likely value."""
        return cls(ends[0], sum(ends) / 2.0, ends[1])
