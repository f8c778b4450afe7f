"""Even scales of colours for values over a surface: a plain one, and one that tells more from less."""

from typing import Final

from vtkmodules.vtkCommonCore import vtkLookupTable

_CIVIDIS: Final = (
    "00224E002A610031701A386F2A3F6D38476C434E6C4D556C575D6D61656F6A6C717374757D7C78"
    "868379918B789A9376A59C74B0A571BBAD6DC6B667D1BF61DDC858E9D34EF5DC41FEE838"
)
"""25 even steps, six digits each, of the map 'cividis': Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018."""

_COOL_WARM: Final = "3B4CC06688EE88ABFDAFCAFCDDDDDDF4C4ADF4987AE26952B40426"
"""9 even steps from what is gone over none to what came: K. Moreland, "Diverging color maps for scientific
visualization", 2009, the map he names cool to warm; values from memory, to a few 255ths."""

_NONE: Final = (0.6, 0.6, 0.6, 1.0)


def colour_at(share: float, *, signed: bool = False) -> tuple[int, int, int]:
    """Give the scale's colour (0 to 255 each) at 0 to 1 of its length; 0.5 is zero where it is signed."""
    digits = _COOL_WARM if signed else _CIVIDIS
    steps = len(digits) // 6
    place = min(max(share, 0.0), 1.0) * (steps - 1)
    first = min(int(place), steps - 2)
    start, stop = (bytes.fromhex(digits[6 * step : 6 * step + 6]) for step in (first, first + 1))
    red, green, blue = (round(a + (b - a) * (place - first)) for a, b in zip(start, stop, strict=True))
    return red, green, blue


def colour_table(low: float, high: float, *, signed: bool = False) -> vtkLookupTable:
    """Give a scale from low to high as the drawing library takes it."""
    made = vtkLookupTable()
    made.SetNumberOfTableValues(256)
    made.SetTableRange(low, high)
    for number in range(256):
        red, green, blue = colour_at(number / 255, signed=signed)
        made.SetTableValue(number, red / 255, green / 255, blue / 255, 1.0)
    made.SetNanColor(*_NONE)
    return made
