"""Which length of bolt reaches the T-nut and does not stand out behind the panel."""

from collections.abc import Sequence
from dataclasses import dataclass

from holdwright.errors import ParameterError

ENGAGEMENT = 0.8
"""Thread to be engaged in a steel T-nut, in diameters: common practice, near the length at which bolt and
thread are equally strong, 2 As / (0.5 pi d2), 8.2 mm for M10 (from memory)."""


@dataclass(frozen=True)
class Stack:
    """What a bolt goes through, mm."""

    seat: float
    """From the seat to the wall; from the top of a countersunk head, whose length counts it."""
    washer: float
    """Thickness of the washer, 0 for none."""
    panel: float
    """Thickness of the panel."""
    barrel: float
    """Length of the T-nut's barrel, which ends at the panel's back."""
    behind: float
    """Free space behind the panel."""

    @property
    def to_thread(self) -> float:
        """From under the head to where the T-nut's thread begins."""
        return self.seat + self.washer + self.panel - self.barrel

    @property
    def room(self) -> float:
        """From under the head to what the bolt must not touch."""
        return self.seat + self.washer + self.panel + self.behind


@dataclass(frozen=True)
class BoltLength:
    """A bolt's length, mm."""

    length: float | None
    """Nominal; None where no nominal length is long enough."""
    shortest: float
    """Length that just engages as required."""
    engagement: float
    required: float
    """engagement, required: thread engaged in the T-nut, and what is required of it."""
    too_long: float
    """How much the bolt is longer than there is room for; 0 where it is not."""

    @property
    def engaged(self) -> bool:
        """Whether enough thread is engaged."""
        return self.engagement >= self.required - 1e-9


def bolt_length(stack: Stack, d: float, lengths: Sequence[float]) -> BoltLength:
    """Choose the next nominal length.

    Parameters
    ----------
    d
        Diameter of the bolt, mm.
    lengths
        Nominal lengths, shortest first, mm.

    Raises
    ------
    ParameterError
        When the T-nut's barrel is longer than the panel is thick.
    """
    if stack.barrel > stack.panel:
        raise ParameterError(
            f"A T-nut with a barrel of {stack.barrel:g} mm was asked for in a panel of {stack.panel:g} mm, "
            "and would stand out of its face; choose a shorter T-nut or a thicker panel."
        )
    required = ENGAGEMENT * d
    shortest = stack.to_thread + required
    length = next((each for each in lengths if each >= shortest - 1e-9), None)
    if length is None:
        return BoltLength(None, shortest, 0.0, required, 0.0)
    engagement = min(length - stack.to_thread, stack.barrel)
    return BoltLength(length, shortest, engagement, required, max(length - stack.room, 0.0))
