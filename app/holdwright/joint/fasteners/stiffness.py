"""How a load on a joint is shared between the bolt and what it clamps."""

import math

STEEL = 207.0
"""Modulus of a bolt, GPa: Shigley, Mechanical Engineering Design, table 8-8."""


def bolt_stiffness(stress_area: float, grip: float, modulus: float = STEEL) -> float:
    """Stiffness of a bolt in N/mm: threaded over all its grip (mm), area in mm2, modulus in GPa."""
    return stress_area * modulus * 1000.0 / grip


def member_stiffness(d: float, bearing: float, layers: tuple[tuple[float, float], ...]) -> float:
    """Stiffness in N/mm of what a bolt clamps, by frusta of 30 degrees from both its ends.

    Parameters
    ----------
    d
        Diameter of the bolt, mm.
    bearing
        Diameter of what presses at both ends, mm.
    layers
        Thickness (mm) and modulus (GPa) of each, from the head on.

    Notes
    -----
    Shigley, Mechanical Engineering Design, 9th ed., section 8-5, equation 8-20.
    """
    grip = sum(thickness for thickness, _ in layers)
    softness, depth = 0.0, 0.0
    for thickness, modulus in layers:
        for low, high in (
            (depth, min(depth + thickness, grip / 2)),
            (max(depth, grip / 2), depth + thickness),
        ):
            if high - low > 1e-9:
                from_end = min(low, grip - high)
                wide = bearing + 2.0 * from_end * math.tan(math.radians(30.0))
                softness += 1.0 / _frustum(d, wide, high - low, modulus * 1000.0)
        depth += thickness
    return 1.0 / softness


def joint_constant(bolt: float, members: float) -> float:
    """Share of an outward pull on a clamped joint that the bolt takes: kb / (kb + km)."""
    return bolt / (bolt + members)


def _frustum(d: float, wide: float, height: float, modulus: float) -> float:
    spread = 2.0 * height * math.tan(math.radians(30.0))
    ratio = (spread + wide - d) * (wide + d) / ((spread + wide + d) * (wide - d))
    return math.pi * modulus * d * math.tan(math.radians(30.0)) / math.log(ratio)
