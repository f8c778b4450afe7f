"""What stands wherever figures and findings stand."""

from collections.abc import Collection
from typing import Final

CAUTIONS: Final = (
    "The figures and findings are estimates from the shape and from tables; they are not a test to any "
    "standard, and nothing here claims conformity with one.",
    "Climbing holds are tested to EN 12572-3; buy that standard and have holds tested to it.",
    "Inspect a hold before use, re-torque its bolt after a day and at each inspection, and retire it when in "
    "doubt.",
    "The wall's owner, local codes and licensed practice have the last word.",
)

DUST: Final = (
    "Sanding and filing make fine plastic dust: wear a mask and eye protection, and sand wet or with suction."
)
EDGES: Final = "An edge that is not broken yet cuts: wear gloves until it is, and file away from the hand."

BROKEN_BY_HAND: Final = frozenset({"cut_leaves_sharp_edge"})
"""Codes of findings that advise to break an edge."""


def cautions_for(codes: Collection[str], *, sanded: bool) -> tuple[str, ...]:
    """Give the cautions for a hold with findings of these codes, and with stock to be sanded off or not."""
    edges = not BROKEN_BY_HAND.isdisjoint(codes)
    return (*CAUTIONS, *((DUST,) if edges or sanded else ()), *((EDGES,) if edges else ()))
