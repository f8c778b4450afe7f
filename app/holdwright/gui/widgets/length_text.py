"""Lengths, areas and volumes within sentences, in the unit people prefer.

What steps and findings say is in millimetres; it is put into inches where it meets the screen, nowhere else.
"""

import re
from collections.abc import Iterable
from math import floor, log10
from typing import Final

from holdwright.gui.widgets.number_format import Preferred
from holdwright.units import MILLIMETRES

_NUMBER: Final = r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_BETWEEN: Final = r"(?: x | to | and | or | -> |, (?:[xyz] )?)"
_QUOTED: Final = r"(?<!\w)'[^'\n]*'(?!\w)|\"[^\"\n]*\""
_MEASURED: Final = re.compile(
    rf"{_QUOTED}|(?<![\w.])({_NUMBER}(?:{_BETWEEN}{_NUMBER})*\)?(?: and more)?) ([mc]m)([23]?)\b(?!/)"
)
_ONE: Final = re.compile(rf"(?<![\w.]){_NUMBER}")

LEAST_DECIMALS: Final = 2


def in_unit(text: str, preferred: Preferred, names: Iterable[str] = ()) -> str:
    """Give a text with its measures in the preferred unit.

    Names, in quotes or among `names`, keep theirs: a panel of 18 mm plywood is called that everywhere.
    """
    if preferred == "mm":
        return text
    preserved = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True) if name)
    parts = re.split(f"({preserved})", text) if preserved else [text]
    return "".join(part if place % 2 else _MEASURED.sub(_in_inches, part) for place, part in enumerate(parts))


def _in_inches(found: re.Match[str]) -> str:
    figures, unit, power = found[1], found[2], found[3]
    if figures is None:
        return found[0]
    factor = (MILLIMETRES["inch"] / (1.0 if unit == "mm" else MILLIMETRES["cm"])) ** int(power or 1)
    return f"{_ONE.sub(lambda one: _figure(one[0], factor), figures)} in{power}"


def _figure(written: str, factor: float) -> str:
    """Write a figure no more coarsely than it was, and with two digits that count at least."""
    value = float(written) / factor
    decimals = max(len(written.partition(".")[2]) + 1, LEAST_DECIMALS)
    if value:
        decimals = max(decimals, 1 - floor(log10(abs(value))))
    return f"{value:.{decimals}f}"
