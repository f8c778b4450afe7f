"""Which finding to look at first: the gravest, and among these the one that costs the hold most."""

from collections.abc import Callable, Iterable
from math import radians
from typing import Final, Protocol, TypeVar

GRAVEST: Final = ("error", "warning", "note")

SPAN: Final = 100.0
FINGER: Final = 10.0
"""A hold is about so many mm across, a finger wide: our choice, to put shares and angles beside lengths."""

_ROOTS: Final = {"mm": 1.0, "mm2": 1.0 / 2.0, "mm3": 1.0 / 3.0}


class Told(Protocol):
    """What of a finding ranks it."""

    @property
    def severity(self) -> str:
        """One of `GRAVEST`."""

    @property
    def measured(self) -> float | None:
        """The figure found."""

    @property
    def limit(self) -> float | None:
        """The figure required."""

    @property
    def unit(self) -> str:
        """Unit of both."""


class Worded(Told, Protocol):
    """What tells a finding to people."""

    @property
    def code(self) -> str:
        """Its name."""

    @property
    def message(self) -> str:
        """Its sentence."""

    @property
    def advice(self) -> str:
        """What to try."""


T = TypeVar("T")
Rank = tuple[int, float]


def rank(finding: Told) -> Rank:
    """Give what findings are sorted by: severity, then what they cost."""
    return GRAVEST.index(finding.severity), -cost(finding)


def ranked(found: Iterable[T], of: Callable[[T], Told]) -> list[T]:
    """Sort what has a finding, the one to look at first at the front; equals stay in their order."""
    return sorted(found, key=lambda each: rank(of(each)))


def cost(finding: Told) -> float:
    """Give how far a hold is off by a finding, all units on the scale of lengths.

    Returns
    -------
    float
        In mm: a length by which a limit is missed, or that is told without one; for an area or a volume the
        side of its square or cube; an angle as what it moves a `FINGER` away; a share, or a load that misses
        its limit, as the same share of `SPAN`. Counts cost nothing. Where no figure tells, an error costs the
        whole hold and others nothing.
    """
    if finding.measured is None or (finding.limit is None and finding.unit not in (*_ROOTS, "%")):
        return SPAN if finding.severity == "error" else 0.0
    missed = abs(finding.measured - (finding.limit or 0.0))
    if finding.unit in _ROOTS:
        return float(missed ** _ROOTS[finding.unit])
    if finding.unit == "%":
        return SPAN * missed / 100.0
    if finding.unit == "deg":
        return FINGER * radians(missed)
    if finding.unit == "" and finding.measured >= (finding.limit or 0.0):  # a count; safeties fall short
        return 0.0
    return SPAN * missed / max(abs(finding.measured), abs(finding.limit or 0.0), missed, 1e-9)
