"""What a climber does to a hold."""

import math
from dataclasses import dataclass

GRAVITY = 9.80665
"""m/s2: standard acceleration of free fall, 3rd General Conference on Weights and Measures, 1901."""


@dataclass(frozen=True)
class Load:
    """Force on a hold in N.

    Attributes
    ----------
    along
        Along the wall.
    outward
        Away from the wall, as on an overhang.
    """

    along: float
    outward: float


def load_of(mass: float, factor: float, overhang: float = 0.0) -> Load:
    """Give the force of a climber's weight.

    Parameters
    ----------
    mass
        kg.
    factor
        How many times the weight acts.
    overhang
        How far the wall leans over from the vertical, degrees.
    """
    force, angle = mass * GRAVITY * factor, math.radians(overhang)
    return Load(force * math.cos(angle), force * math.sin(angle))
