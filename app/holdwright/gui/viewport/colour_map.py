"""Values over the surface in colours of one even scale, with the limit marked."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import vtkLookupTable

_CIVIDIS: Final = (
    "00224E002A610031701A386F2A3F6D38476C434E6C4D556C575D6D61656F6A6C717374757D7C78"
    "868379918B789A9376A59C74B0A571BBAD6DC6B667D1BF61DDC858E9D34EF5DC41FEE838"
)
"""25 even steps, six digits each, of the map 'cividis': Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018."""

_STEPS: Final = len(_CIVIDIS) // 6

BINS: Final = 48


@dataclass(frozen=True, eq=False)
class ColourMap:
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
    place = min(max(share, 0.0), 1.0) * (_STEPS - 1)
    first = min(int(place), _STEPS - 2)
    start, stop = (bytes.fromhex(_CIVIDIS[6 * step : 6 * step + 6]) for step in (first, first + 1))
    red, green, blue = (round(a + (b - a) * (place - first)) for a, b in zip(start, stop, strict=True))
    return red, green, blue


def table(heat: ColourMap) -> vtkLookupTable:
    """Give the scale as the drawing library wants it."""
    made = vtkLookupTable()
    made.SetNumberOfTableValues(256)
    made.SetTableRange(heat.low, heat.high)
    for number in range(256):
        red, green, blue = colour_at(number / 255)
        made.SetTableValue(number, red / 255, green / 255, blue / 255, 1.0)
    made.SetNanColor(0.6, 0.6, 0.6, 1.0)
    return made
