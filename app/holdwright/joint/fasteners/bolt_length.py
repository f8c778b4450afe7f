"""Which length of bolt reaches the T-nut at worst, and does not stand out behind the panel."""

from collections.abc import Sequence
from dataclasses import dataclass

from holdwright.errors import ParameterError
from holdwright.ranges import Range

ENGAGEMENT = 0.8
"""Thread to be engaged in a steel T-nut, in diameters: common practice, near the length at which bolt and
thread are equally strong, 2 As / (0.5 pi d2), 8.2 mm for M10 (from memory)."""

CHAMFER = 1.0
"""End of a bolt that does not count as thread, in pitches: common practice (ISO 4753, from memory:
at most 2)."""

PRINT, WASHER = 0.3, 0.2
"""What a printed seat's height and a washer's thickness may be off by, mm: common practice; ISO 7093-1, M10,
2.3 to 2.7 mm, from memory."""

_JS15 = ((10, 0.29), (18, 0.35), (30, 0.42), (50, 0.50), (80, 0.60), (120, 0.70), (180, 0.80), (250, 0.925))
"""What a bolt's length up to so many mm may be off by, mm: js15 of ISO 286-1, in ISO 4759-1 for
product grade A (from memory)."""

TOLERANCES = (
    "worst case of print +-0.3 mm (common practice), washer +-0.2 mm, panel as EN 315, bolt js15 as "
    "ISO 4759-1, its end of one pitch no thread (from memory)"
)


def length_tolerance(length: float) -> float:
    """Give what a bolt may be longer or shorter than its nominal length, mm."""
    return next((off for most, off in _JS15 if length <= most), _JS15[-1][1])


def panel_tolerance(thickness: float) -> tuple[float, float]:
    """Give what a sanded plywood panel may be thinner and thicker than told, mm: EN 315, from memory."""
    return 0.4 + 0.03 * thickness, 0.2 + 0.03 * thickness


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
    def depth(self) -> Range:
        """From under the head to the panel's back."""
        thinner, thicker = panel_tolerance(self.panel)
        off, likely = PRINT + (WASHER if self.washer else 0.0), self.seat + self.washer + self.panel
        return Range(likely - off - thinner, likely, likely + off + thicker)


@dataclass(frozen=True)
class BoltLength:
    """A bolt's length, mm."""

    length: float | None
    """Nominal; None where no nominal length is long enough."""
    shortest: float
    """Length that just engages as required."""
    engagement: float
    required: float
    """engagement, required: thread engaged in the T-nut in the worst case, and what is required of it."""
    too_long: float
    """How much the bolt may be longer than there is room for; 0 where it is not."""
    stand_out: Range | None = None
    """How far its end stands out behind the panel's back, negative where it ends within; None without one."""

    @property
    def engaged(self) -> bool:
        """Whether enough thread is engaged."""
        return self.engagement >= self.required - 1e-9


def bolt_length(stack: Stack, d: float, pitch: float, lengths: Sequence[float]) -> BoltLength:
    """Choose the next nominal length that engages as required in the worst case.

    Parameters
    ----------
    d, pitch
        Of the bolt's thread, mm.
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
    required, depth = ENGAGEMENT * d, stack.depth
    to_thread = depth.high - stack.barrel + CHAMFER * pitch
    length = next(
        (each for each in lengths if each - length_tolerance(each) >= to_thread + required - 1e-9), None
    )
    shortest = to_thread + required
    shortest += length_tolerance(shortest)
    if length is None:
        return BoltLength(None, shortest, 0.0, required, 0.0)
    off = length_tolerance(length)
    out = Range(length - off - depth.high, length - depth.likely, length + off - depth.low)
    engagement = min(length - off - to_thread, stack.barrel)
    return BoltLength(length, shortest, engagement, required, max(out.high - stack.behind, 0.0), out)
