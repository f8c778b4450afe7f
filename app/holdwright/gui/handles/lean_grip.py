"""The knob that leans an axis: pushed outward from the bore, the head leans that way."""

import math
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats

ARM: Final = 60.0
"""The knob goes as far outward as an axis this long leans, mm."""

CLEAR: Final = 8.0
"""Of the pocket's edge, while the axis is upright, mm."""

STRAIGHT_UP: Final = 90.0
"""Where the knob of an upright axis is, degrees on the wall."""


def lean_knob(top: Floats, radius: float, tilt: float, toward: float) -> Floats:
    """Give the knob's place (3,).

    Parameters
    ----------
    top
        Where the axis leaves the hold, (3,).
    radius
        Of the pocket, mm.
    tilt, toward
        Degrees, as the step has them.
    """
    way = math.radians(toward if tilt else STRAIGHT_UP)
    far = radius + CLEAR + ARM * math.tan(math.radians(tilt))
    return np.asarray(top + far * np.array([math.cos(way), math.sin(way), 0.0]))


def lean_of(knob: Floats, top: Floats, radius: float, most: float) -> tuple[float, float]:
    """Give tilt, up to `most`, and direction, degrees, for a place of the knob on the level of `top`."""
    x, y = (knob - top)[:2].tolist()
    outward = max(math.hypot(x, y) - radius - CLEAR, 0.0)
    return min(math.degrees(math.atan(outward / ARM)), most), math.degrees(math.atan2(y, x))
