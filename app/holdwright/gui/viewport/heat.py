"""Values over the surface in colours of one even scale, with the limit marked."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import vtkLookupTable

_CIVIDIS: Final = (
    "#00224E",
    "#003170",
    "#2A3F6D",
    "#434E6C",
    "#575D6D",
    "#6A6C71",
    "#7D7C78",
    "#918B78",
    "#A59C74",
    "#BBAD6D",
    "#D1BF61",
    "#E9D34E",
    "#FEE838",
)
"""Thirteen even steps of the map 'cividis' of Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018."""

BINS: Final = 48


@dataclass(frozen=True, eq=False)
class Heat:
    """What is to be seen in colours.

    Attributes
    ----------
    values
        (n,) one for each vertex; not-a-number where there is none.
    low, high
        Values at both ends of the scale.
    limit
        Value that matters, or None.
    title, unit
        For people.
    """

    values: NDArray[np.float32]
    low: float
    high: float
    limit: float | None
    title: str
    unit: str

    def histogram(self) -> NDArray[np.float64]:
        """Give the share of vertices in each of the scale's bins, the fullest being 1."""
        known = self.values[np.isfinite(self.values)]
        counts, _ = np.histogram(np.clip(known, self.low, self.high), bins=BINS, range=(self.low, self.high))
        return np.asarray(counts / max(int(counts.max()), 1), dtype=np.float64)


def colour_at(share: float) -> tuple[int, int, int]:
    """Give the scale's colour (0 to 255 each) at 0 to 1 of its length."""
    place = min(max(share, 0.0), 1.0) * (len(_CIVIDIS) - 1)
    first = min(int(place), len(_CIVIDIS) - 2)
    codes = [[int(code[i : i + 2], 16) for i in (1, 3, 5)] for code in _CIVIDIS[first : first + 2]]
    red, green, blue = (round(a + (b - a) * (place - first)) for a, b in zip(*codes, strict=True))
    return red, green, blue


def table(heat: Heat) -> vtkLookupTable:
    """Give the scale as the drawing library wants it."""
    made = vtkLookupTable()
    made.SetNumberOfTableValues(256)
    made.SetTableRange(heat.low, heat.high)
    for number in range(256):
        red, green, blue = colour_at(number / 255)
        made.SetTableValue(number, red / 255, green / 255, blue / 255, 1.0)
    made.SetNanColor(0.6, 0.6, 0.6, 1.0)
    return made
