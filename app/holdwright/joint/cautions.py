"""What stands wherever figures and findings stand."""

from typing import Final

CAUTIONS: Final = (
    "The figures and findings are estimates from the shape and from tables; they are not a test to any "
    "standard, and nothing here claims conformity with one.",
    "Climbing holds are tested to EN 12572-3; buy that standard and have holds tested to it.",
    "Inspect a hold before use, re-torque its bolt after a day and at each inspection, and retire it when in "
    "doubt.",
    "The wall's owner, local codes and licensed practice have the last word.",
)
