"""Units of length. Everything inside Holdwright is in millimetres and degrees, as plain floats."""

from typing import Final, Literal

LengthUnit = Literal["mm", "cm", "m", "inch"]

MILLIMETRES: Final[dict[LengthUnit, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}
"""Millimetres in one of each unit (the inch by the international agreement of 1959)."""


def millimetres(unit: LengthUnit) -> float:
    """Give the length of one `unit` in mm."""
    return MILLIMETRES[unit]
