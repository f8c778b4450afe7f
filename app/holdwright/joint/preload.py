"""What tightening a bolt does to it.

Torque says little of preload: ten bolts tightened alike differed by 8 % (Shigley, Mechanical Engineering
Design, 9th ed., table 8-14), and rust, paint and grease make far more of it. So every figure takes the end of
the nut factor's range that is unsafe for it: the low one gives the high preload that crushes the seat, the
high one gives the low preload that lets the hold turn.
"""

from dataclasses import dataclass

from holdwright.catalogue.anchorage import NutFactor

MM_IN_M = 1000.0

CRUSHING = 25.0
"""Seat pressure above which much more preload is lost to creep, MPa: common practice, no source."""

RESIDUAL_CRUSHED = 0.4
"""Share of the preload that is left above that pressure: common practice, no source."""


@dataclass(frozen=True)
class Preload:
    """What a bolt clamps with, N."""

    low: float
    high: float
    """low, high: just tightened, with the high and the low nut factor."""
    residual: float
    """What is left of the low one once the plastic has crept."""


def preload(torque: float, nut_factor: float, d: float) -> float:
    """Preload in N of a bolt of diameter `d` (mm) tightened with `torque` (N m): T = K F d.

    Shigley, Mechanical Engineering Design, 9th ed., equation 8-27.
    """
    return torque * MM_IN_M / (nut_factor * d)


def torque_for(force: float, nut_factor: float, d: float) -> float:
    """Torque in N m that gives a bolt of diameter `d` (mm) the preload `force` (N)."""
    return force * nut_factor * d / MM_IN_M


def tightened(torque: float, factor: NutFactor, d: float, area: float, residual: float) -> Preload:
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
    """
    low, high = preload(torque, factor.high, d), preload(torque, factor.low, d)
    share = min(residual, RESIDUAL_CRUSHED) if high / area > CRUSHING else residual
    return Preload(low, high, share * low)
