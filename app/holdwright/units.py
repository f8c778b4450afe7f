"""Units of length. Everything inside Holdwright is in millimetres and degrees, as plain floats."""

from math import log
from typing import Final, Literal

LengthUnit = Literal["mm", "cm", "m", "inch"]

MILLIMETRES: Final[dict[LengthUnit, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}
"""Millimetres in one of each unit (the inch by the international agreement of 1959)."""

SMALLEST: Final = 20.0
LARGEST: Final = 1000.0
USUAL: Final = 150.0
"""Largest extent of a hold in mm: foot chip, volume, and what most lie near. Common practice, no source."""


def guess_words(extent: float, unit: LengthUnit) -> str:
    """Tell what a unit would make of a sculpt's largest extent, in file units."""
    return f"{extent:.4g} across: {unit} would make it {extent * MILLIMETRES[unit]:.4g} mm"


def guess_unit(extent: float) -> LengthUnit | None:
    """Give the unit that makes a sculpt the size of a hold; None where none does.

    Parameters
    ----------
    extent
        Largest extent along the file's axes, in file units.
    """
    sizes = {unit: extent * factor for unit, factor in MILLIMETRES.items()}
    possible = [unit for unit, size in sizes.items() if SMALLEST <= size <= LARGEST]
    return min(possible, key=lambda unit: abs(log(sizes[unit] / USUAL)), default=None)
