"""Figures as people read them: in the unit they prefer, typeset, and read back from what they type.

What steps and findings say is in millimetres; it is put into inches where it meets the screen, nowhere else.
"""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10
from typing import Final, Literal

from holdwright.parameters.describe import FieldDescription
from holdwright.units import MILLIMETRES

Preferred = Literal["mm", "inch"]
"""Units of length the window can show."""

SMALL_MM: Final = 100.0
"""Lengths that go no further than this are stepped by half a millimetre at most."""

_TYPED_UNITS: Final = {
    "mm": 1.0,
    "cm": MILLIMETRES["cm"],
    "in": MILLIMETRES["inch"],
    "inch": MILLIMETRES["inch"],
    '"': MILLIMETRES["inch"],
}
_TYPED: Final = re.compile(
    r'\s*([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([a-z"%°]*[2²]?(?: m)?)\s*', re.IGNORECASE
)
_BY: Final = " \N{MULTIPLICATION SIGN} "
_SQUARES: Final = re.compile(r"\b(mm|cm|in)([23])\b")
_DEGREES: Final = re.compile(r"(?<=\d) deg\b")
_TIMES: Final = re.compile(r"(?<=\d) x (?=\d)")
_FIGURE_AND_UNIT: Final = re.compile(r"(?<=\d) (?=(?:[mc]m[²³]?|in[²³]?|N|N m|MPa|kg|%)(?![\w²³]))")
_PLACE_OR_RANGE: Final = re.compile(r"\([-\d.]+(?:(?:, | to )[-\d.]+)+(?: \w+)?\)")
_PERCENT: Final = re.compile(r"(?<=\d)%")
_TIMES_A_MASS: Final = re.compile(rf"(?<=\d){_BY}(?=\d+ kg)")
_NEWTON_METRES: Final = re.compile(r"(?<=\bN) m\b")
_LONG_WORD: Final = re.compile(r"\S{24,}[^\s.,;:!?]")
_MAY_BREAK: Final = "\N{ZERO WIDTH SPACE}"
_POWERS: Final = {"2": "²", "3": "³"}
_NUMBER: Final = r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_BETWEEN: Final = r"(?: x | to | and | or | -> |, (?:[xyz] )?)"
_RANGE: Final = rf" \({_NUMBER} to {_NUMBER}\)"
_QUOTED: Final = r"(?<!\w)'[^'\n]*'(?!\w)|\"[^\"\n]*\""
_MEASURED: Final = re.compile(
    rf"{_QUOTED}|(?<![\w.])({_NUMBER}(?:{_RANGE}|(?:{_BETWEEN}{_NUMBER})*\)?(?: and more)?))"
    r" ([mc]m)([23]?)\b(?!/)"
)
_ONE: Final = re.compile(rf"(?<![\w.]){_NUMBER}")

SMALL_AREA: Final = 100.0
"""Areas from this on, mm2, are written in square centimetres."""

LEAST_DECIMALS: Final = 2


@dataclass(frozen=True)
class Scale:
    """How a value is written."""

    unit: float = 1.0
    """What one shown unit is in the value's own: 25.4 for a length shown in inches."""
    suffix: str = ""
    """Written after the figure."""
    decimals: int = 3
    """At most so many places are shown; zeros at the end are left out."""
    step: float = 1.0
    """What one press of an arrow adds, in shown units."""
    zero: str = ""
    """Word that stands for zero where zero is no size, such as "chosen"; blank elsewhere."""
    word_at: float = 0.0
    """The value that word stands for, where it is not zero."""

    def text(self, value: float) -> str:
        """Write a value with its unit."""
        return self.zero if self.zero and value == self.word_at else f"{self.figure(value)}{self.suffix}"

    def figure(self, value: float) -> str:
        """Write a value without its unit."""
        written = f"{value / self.unit:.{self.decimals}f}"
        written = written.rstrip("0").rstrip(".") if "." in written else written
        return "0" if written == "-0" else written

    def read(self, text: str) -> float | None:
        """Read a value from what was typed, with or without a unit; None where it is no figure."""
        if self.zero and text.strip().casefold() == self.zero.casefold():
            return self.word_at
        found = _TYPED.fullmatch(text)
        if found is None:
            return None
        number, unit = float(found[1].replace(",", ".")), found[2].lower().replace("²", "2")
        if not isfinite(number):
            return None
        if unit and unit != self.suffix.strip().lower().replace("²", "2"):
            is_length = self.suffix.strip() in ("mm", "in")
            return number * _TYPED_UNITS[unit] if is_length and unit in _TYPED_UNITS else None
        return number * self.unit

    def stepped(self, value: float, steps: int) -> float:
        """Give the value some steps on, put on whole steps."""
        shown = value / self.unit / self.step
        near = round(shown)
        on_step = abs(shown - near) < 1e-6
        start = near if on_step else (floor(shown) if steps > 0 else ceil(shown))
        return round((start + steps) * self.step, 9) * self.unit


_SCALES: Final = {
    "angle": Scale(suffix="°", decimals=2),
    "share": Scale(unit=0.01, suffix=" %", decimals=1),
    "count": Scale(decimals=0),
}


def scale_of(field: FieldDescription, preferred: Preferred) -> Scale:
    """Say how a parameter's figures are written."""
    if field.kind == "length":
        small = field.maximum is not None and field.maximum <= SMALL_MM
        return length_scale(preferred, _fine_step(field, 0.5 if small else 1.0))
    if field.kind in ("position", "pick", "picks"):
        return length_scale(preferred, 1.0)
    if field.kind == "percent":
        return Scale(suffix=" %", decimals=2, step=_fine_step(field, 1.0))
    if field.kind == "number" and field.unit:
        return Scale(suffix=f" {field.unit}", decimals=2)
    return _SCALES.get(field.kind, Scale(decimals=4, step=0.1))


def length_scale(preferred: Preferred, step_mm: float = 1.0) -> Scale:
    """Say how lengths are written whose arrows step by so many mm, or by a like step in inches."""
    if preferred == "mm":
        return Scale(suffix=" mm", decimals=3, step=step_mm)
    step = _round_up(step_mm / MILLIMETRES["inch"])
    return Scale(MILLIMETRES["inch"], " in", decimals=3 if step >= 0.01 else 4, step=step)


def limits_text(field: FieldDescription, scale: Scale) -> str:
    """Say between which values a parameter may lie; blank where it is free."""
    low, high = field.minimum, field.maximum
    if low is not None and high is not None:
        begin = f"more than {scale.figure(low)}, up" if field.minimum_open else f"from {scale.figure(low)}"
        return f"{begin} to {scale.text(high)}"
    if low is not None:
        return f"{'more than' if field.minimum_open else 'at least'} {scale.text(low)}"
    if high is not None:
        return f"{'less than' if field.maximum_open else 'at most'} {scale.text(high)}"
    return ""


def length_text(length_mm: float, preferred: Preferred) -> str:
    """Write a length as measured: in the view, beside a handle, in a bar, all rounded alike."""
    if preferred == "mm":
        return f"{length_mm:.1f} mm"
    return f"{length_mm / MILLIMETRES['inch']:.2f} in"


def size_text(size_mm: tuple[float, float, float], preferred: Preferred) -> str:
    """Write an extent along x, y and z."""
    unit, decimals, name = (1.0, 1, "mm") if preferred == "mm" else (MILLIMETRES["inch"], 2, "in")
    return f"{_BY.join(f'{side / unit:.{decimals}f}' for side in size_mm)} {name}"


def volume_text(volume_mm3: float, preferred: Preferred) -> str:
    """Write a volume to three figures or to a tenth."""
    side, unit = (MILLIMETRES["cm"], "cm³") if preferred == "mm" else (MILLIMETRES["inch"], "in³")
    volume = volume_mm3 / side**3
    return f"{volume:.0f} {unit}" if volume >= 100.0 else f"{volume:.1f} {unit}"


def count_text(count: int) -> str:
    """Write a large count as one reads it aloud."""
    if count >= 1_000_000:
        return f"{count / 1_000_000:.1f} M"
    return f"{count / 1000:.0f} k" if count >= 10_000 else str(count)


def counted(count: int, word: str) -> str:
    """Write how many of something there are."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def severity_counts(severities: Iterable[str]) -> list[str]:
    """Write how many errors and warnings findings are; notes are not counted."""
    counts = Counter(severities)
    return [counted(counts[each], each) for each in ("error", "warning") if counts[each]]


def typeset(text: str) -> str:
    """Set plain text as print would: powers, degrees, percent, times signs, arrows."""
    text = _SQUARES.sub(lambda found: found[1] + _POWERS[found[2]], text)
    text = _PERCENT.sub(" %", _DEGREES.sub("°", text))
    return _TIMES.sub(_BY, text).replace(" -> ", " → ").replace(">=", "≥")


def held_together(text: str) -> str:
    """Give a text in which no line is broken between a figure and its unit, nor within "(1, 2, 3)"."""
    text = _NEWTON_METRES.sub("\N{NO-BREAK SPACE}m", text)
    text = _TIMES_A_MASS.sub(_BY.replace(" ", "\N{NO-BREAK SPACE}"), text)
    text = _PLACE_OR_RANGE.sub(lambda found: found[0].replace(" ", "\N{NO-BREAK SPACE}"), text)
    return _FIGURE_AND_UNIT.sub("\N{NO-BREAK SPACE}", text)


def breakable(text: str) -> str:
    """Give a text in which words too long for any line, as of file names and web addresses, may be broken."""
    return _LONG_WORD.sub(lambda found: _MAY_BREAK.join(found[0]), text)


def mass_text(grams: float) -> str:
    """Write a mass to three figures or to a gram."""
    return f"{grams / 1000.0:.2f} kg" if grams >= 1000.0 else f"{grams:.0f} g"


def quantity_text(value: float, unit: str, preferred: Preferred, *, beside: float = 0.0) -> str:
    """Write a figure of a finding's unit: mm, mm2, deg, %, or blank for a count.

    Parameters
    ----------
    beside
        A figure that it is to be compared with: both are written in the unit of the larger.
    """
    if unit == "mm":
        fine = preferred == "inch" and max(value, beside) < MILLIMETRES["inch"]
        return f"{value / MILLIMETRES['inch']:.3f} in" if fine else length_text(value, preferred)
    if unit == "mm2" and max(value, beside) >= SMALL_AREA:
        value, unit = value / MILLIMETRES["cm"] ** 2, "cm2"
    figure = f"{value:.0f}" if value >= 100.0 else f"{value:.2g}"
    return typeset(in_unit(f"{figure} {unit}".rstrip(), preferred))


def _fine_step(field: FieldDescription, most: float) -> float:
    """Give about a hundredth of a parameter's range, at most `most`."""
    if field.minimum is None or field.maximum is None:
        return most
    return min(_round_up((field.maximum - field.minimum) / 100.0), most)


def _round_up(value: float) -> float:
    """Give the least of 1, 2, 5, 10 and so on, or 0.5, 0.2 and so on, that is not less."""
    whole = 10.0 ** floor(log10(value) + 1e-9)
    return next(round(part * whole, 9) for part in (1, 2, 5, 10) if part * whole >= value * (1 - 1e-9))


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
