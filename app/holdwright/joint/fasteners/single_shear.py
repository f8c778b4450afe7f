"""What a fastener carries across, from hold to panel: Johansen's yield model.

Equations of EN 1995-1-1 (Eurocode 5), 8.2.2 (8.6), from memory; nothing here is a design to it. The pull
along the fastener that would add to modes c to f (its rope effect) is left out.
"""

import math
from dataclasses import dataclass
from typing import Literal

Mode = Literal["a", "b", "c", "d", "e", "f"]

PARTIAL = 1.3
"""Strengths are divided by this (EN 1995-1-1, table 2.3, connections)."""


@dataclass(frozen=True)
class Shear:
    """Force across, and how the fastener gives in under it."""

    force: float
    """N."""
    mode: Mode
    """a, b: hold or panel is crushed along the whole shank; c: both are; d, e: the shank bends once, in the
    panel or in the hold; f: it bends in both."""


def single_shear(
    d: float, moment: float, strengths: tuple[float, float], depths: tuple[float, float]
) -> Shear:
    """Give the least of all modes, with `PARTIAL` taken off.

    Parameters
    ----------
    d
        Effective diameter of the shank, mm.
    moment
        That bends it for good, N mm.
    strengths
        Embedment strengths of hold and panel, MPa.
    depths
        Of the shank in hold and panel, mm.
    """
    (hold, panel), (t1, t2) = strengths, depths
    beta, ratio, bending = panel / hold, t2 / t1, 4.0 * moment / (hold * d)
    once = 1.05 * hold * d
    both = math.sqrt(beta + 2 * beta**2 * (1 + ratio + ratio**2) + beta**3 * ratio**2) - beta * (1 + ratio)
    in_panel = math.sqrt(2 * beta * (1 + beta) + beta * (2 + beta) * bending / t1**2) - beta
    in_hold = math.sqrt(2 * beta**2 * (1 + beta) + beta * (1 + 2 * beta) * bending / t2**2) - beta
    forces: dict[Mode, float] = {
        "a": hold * t1 * d,
        "b": panel * t2 * d,
        "c": hold * t1 * d / (1 + beta) * both,
        "d": once * t1 / (2 + beta) * in_panel,
        "e": once * t2 / (1 + 2 * beta) * in_hold,
        "f": 1.15 * math.sqrt(2 * beta / (1 + beta)) * math.sqrt(2 * moment * hold * d),
    }
    mode = min(forces, key=lambda each: forces[each])
    return Shear(forces[mode] / PARTIAL, mode)
