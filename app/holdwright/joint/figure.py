"""A figure with the range it lies in, its limit, and where it comes from."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from holdwright.catalogue.anchorage import Friction, NutFactor
from holdwright.catalogue.materials import MaterialNote
from holdwright.catalogue.tables import NamedRow

Sense = Literal["at least", "at most", ""]


@dataclass(frozen=True)
class Range:
    """What a value may be. Of a safety, low takes the unsafe end of every table at once."""

    low: float
    likely: float
    high: float

    @classmethod
    def of(cls, row: Friction | NutFactor) -> "Range":
        """Give the range of a row."""
        return cls(row.low, row.nominal, row.high)

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
        """As "0.35 (0.25 to 0.4)", each with what it is worth."""
        return f"{two_digits(self.likely)} ({two_digits(self.low)} to {two_digits(self.high)})"

    @property
    def reversed(self) -> "Range":
        """The same with its ends changed, for what falls where this rises."""
        return Range(self.high, self.likely, self.low)


@dataclass(frozen=True)
class Figure:
    """A figure of a joint."""

    value: float | None
    """The likely one; None where there is none."""
    unit: str
    """One of "N", "MPa", "mm", "N m" or blank."""
    source: str
    """How it was computed, and from which rows."""
    limit: float | None = None
    sense: Sense = ""
    """limit, sense: what it must be at least or at most; None and "" where it has no limit."""
    range: Range | None = None
    """Where it follows from tables that give ranges."""

    @property
    def within_limit(self) -> bool:
        """Whether the limit, if there is one, is met by the likely value."""
        return self._meets(self.value)

    @property
    def surely_within_limit(self) -> bool:
        """Whether the unsafe end of its range meets the limit too."""
        if self.range is None:
            return self.within_limit
        return self._meets(self.range.low if self.sense == "at least" else self.range.high)

    def _meets(self, value: float | None) -> bool:
        if self.limit is None or value is None:
            return True
        return value >= self.limit if self.sense == "at least" else value <= self.limit


def two_digits(value: float) -> str:
    """Write what a figure is worth: two digits, "0.38", "1.1" or "1600"."""
    return f"{float(f'{value:.2g}'):g}"


def sources(*rows: NamedRow | MaterialNote) -> str:
    """Name rows of tables with their sources and how sure they are."""
    return "; ".join(f"{row.name}: {row.source} [{row.tag}]" for row in rows)
