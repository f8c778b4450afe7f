"""What a word of the command line stands for: checked as it is read. Loads nothing heavy."""

import argparse
import math
from datetime import date
from typing import Final

from holdwright.errors import ParameterError
from holdwright.sheet.choice import SheetChoice

MOST_SECONDS: Final = 604_800.0
MOST_JOBS: Final = 256
MOST_CELL: Final = 20.0
"""mm."""


def seconds(text: str) -> float:
    """Read a time limit, s."""
    value = _number(text)
    if not 0.0 < value <= MOST_SECONDS:
        raise _refusal(text, f"is not a time; enter seconds, at most {MOST_SECONDS:,.0f} (a week)")
    return value


def day(text: str) -> date:
    """Read a date, as ISO 8601 writes it."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _refusal(text, "is no date; enter it as 2026-11-29") from None


def jobs(text: str) -> int:
    """Read how many are worked on side by side."""
    if not text.isdecimal() or not 1 <= int(text) <= MOST_JOBS:
        raise _refusal(text, f"is no number of jobs; enter 1 to {MOST_JOBS}")
    return int(text)


def cell(text: str) -> str | float:
    """Read the size of cells: by its name, or the side of one, mm."""
    if text in ("preview", "fine"):
        return text
    value = _number(text)
    if not 0.0 < value <= MOST_CELL:
        raise _refusal(text, f"is no size of cells; enter preview, fine, or up to {MOST_CELL:g} mm")
    return value


def sheet(text: str) -> SheetChoice:
    """Read which work sheet is asked for."""
    try:
        return SheetChoice.of(text)
    except ParameterError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _number(text: str) -> float:
    """Read a number; what is none becomes one that no range holds."""
    try:
        return float(text)
    except ValueError:
        return math.nan


def _refusal(text: str, why: str) -> argparse.ArgumentTypeError:
    return argparse.ArgumentTypeError(f'"{text[:40]}" {why}')
