"""The few colours pictures are made of: paper, ink, limestone and deep teal."""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats

PAPER_TOP: Final = "#FCFBF8"
PAPER_FOOT: Final = "#ECE7DD"
INK: Final = "#20262A"
LIMESTONE: Final = "#8F754C"
TEAL: Final = "#1F6B75"
LIMESTONE_CUT: Final = "#D6C4A1"
TEAL_CUT: Final = "#7FB5BA"


def linear(code: str) -> Floats:
    """Give a ``#RRGGBB`` colour as (3,) linear light, 0 to 1."""
    return decoded(np.array([int(code[i : i + 2], 16) for i in (1, 3, 5)]))


def decoded(level: NDArray[Any]) -> Floats:
    """Give sRGB levels, 0 to 255, as linear light, 0 to 1 (IEC 61966-2-1)."""
    value = level / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def encoded(light: Floats) -> Floats:
    """Give linear light as sRGB levels, 0 to 255, not yet rounded (IEC 61966-2-1)."""
    light = np.clip(light, 0.0, 1.0)
    return np.asarray(255.0 * np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055))
