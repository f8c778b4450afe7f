"""A figure with the range it lies in, its limit, and where it comes from."""

from dataclasses import dataclass
from typing import Literal

from holdwright.catalogue.materials import MaterialNote
from holdwright.catalogue.tables import NamedRow
from holdwright.ranges import Range

Sense = Literal["at least", "at most", ""]


@dataclass(frozen=True)
class Figure:
    """A figure of a joint."""

    value: float | None
    """The likely one; None where there is none."""
    unit: str
    """One of "N", "MPa", "mm", "N m", "%" or blank."""
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


def sources(*rows: NamedRow | MaterialNote) -> str:
    """Name rows of tables with their sources and how sure they are."""
    return "; ".join(f"{row.name}: {row.source} [{row.tag}]" for row in rows)
