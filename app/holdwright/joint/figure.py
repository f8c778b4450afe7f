"""A figure with its limit and where it comes from."""

from dataclasses import dataclass
from typing import Literal

from holdwright.catalogue.materials import MaterialNote
from holdwright.catalogue.tables import NamedRow

Sense = Literal["at least", "at most", ""]


@dataclass(frozen=True)
class Figure:
    """A figure of a joint."""

    value: float | None
    """None where there is none."""
    unit: str
    """One of "N", "MPa", "mm", "N m" or blank."""
    source: str
    """How it was computed, and from which rows."""
    limit: float | None = None
    sense: Sense = ""
    """limit, sense: what it must be at least or at most; None and "" where it has no limit."""

    @property
    def within_limit(self) -> bool:
        """Whether the limit, if there is one, is met."""
        if self.limit is None or self.value is None:
            return True
        return self.value >= self.limit if self.sense == "at least" else self.value <= self.limit


def sources(*rows: NamedRow | MaterialNote) -> str:
    """Name rows of tables with their sources and how sure they are."""
    return "; ".join(f"{row.name}: {row.source} [{row.tag}]" for row in rows)
