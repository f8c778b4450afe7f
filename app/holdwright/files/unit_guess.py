"""Which unit a sculpt's numbers are likely in, where its file does not say."""

from math import log
from typing import Final

from holdwright.units import MILLIMETRES, LengthUnit

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
