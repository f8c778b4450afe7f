"""What tightening a bolt does to it.

Torque says little of preload: ten bolts tightened alike differed by 8 % (Shigley, Mechanical Engineering
Design, 9th ed., table 8-14), and rust, paint and grease make far more of it. So it is a range: the low nut
factor gives the high preload that crushes the seat, the high one gives the low preload that lets the hold
turn.
"""

from dataclasses import dataclass

from holdwright.catalogue.anchorage import NutFactor
from holdwright.ranges import Range

MM_IN_M = 1000.0

CRUSHING = 25.0
"""Seat pressure above which much more preload is lost to creep, MPa: common practice, no source."""

RESIDUAL_CRUSHED = 0.4
"""Share of the preload that is left above that pressure: common practice, no source."""


@dataclass(frozen=True)
class Preload:
    """What a bolt clamps with, N."""

    tightened: Range
    """Just tightened: low with the high nut factor."""
    residual: Range
    """What is left of it once the plastic has crept."""

    @property
    def low(self) -> float:
        """Least, just tightened."""
        return self.tightened.low

    @property
    def high(self) -> float:
        """Greatest, just tightened."""
        return self.tightened.high


def preload(torque: float, nut_factor: float, d: float) -> float:
    """Preload in N of a bolt of diameter `d` (mm) tightened with `torque` (N m): T = K F d.

    Shigley, Mechanical Engineering Design, 9th ed., equation 8-27.
    """
    return torque * MM_IN_M / (nut_factor * d)


def torque_for(force: float, nut_factor: float, d: float) -> float:
    """Torque in N m that gives a bolt of diameter `d` (mm) the preload `force` (N)."""
    return force * nut_factor * d / MM_IN_M


def capped(force: Range, *crushing: float) -> Range:
    """Give the preload that stays where seat or flange gives way at some force (N): no more than that."""
    return Range.by(lambda pull: min((pull, *crushing)), force)


def tightened(
    torque: float, factor: NutFactor, d: float, area: float, residual: Range, *crushing: float
) -> Preload:
    """Bound the preload on both sides.

    Parameters
    ----------
    torque
        N m.
    factor
        Range of the nut factor.
    d
        Diameter of the bolt, mm.
    area
        Of its seat, mm2: where the highest preload crushes it, at most `RESIDUAL_CRUSHED` is left.
    residual
        Share that is left once the material has crept.
    crushing
        Forces in N at which seat or T-nut flange gives way. What is tightened beyond still pulls on the bolt
        but does not count toward what is left.
    """
    force = Range.by(lambda k: preload(torque, k, d), factor.range.reversed)
    most = RESIDUAL_CRUSHED if force.high / area > CRUSHING else 1.0
    return Preload(
        force, Range.by(lambda share, pull: min(share, most) * pull, residual, capped(force, *crushing))
    )
