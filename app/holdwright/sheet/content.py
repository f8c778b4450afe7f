"""What a work sheet says, apart from how it is drawn."""

from dataclasses import dataclass
from typing import Final, Literal

from holdwright.sheet.drawing import HoldDrawing

Severity = Literal["note", "warning", "error"]

DOT: Final = "  \N{MIDDLE DOT}  "
"""Between short facts in one line."""

TINTS: Final[dict[Severity, str]] = {"note": "#E8EAE6", "warning": "#F3E3C4", "error": "#F0D5D0"}
"""Grounds behind the word for a severity."""


@dataclass(frozen=True)
class SheetTable:
    """Rows under a heading."""

    title: str
    rows: tuple[tuple[str, ...], ...]
    columns: tuple[str, ...] = ()
    """Names over the values; empty for a plain list of names and values."""
    below: str = ""
    """A sentence on all of it."""


@dataclass(frozen=True)
class SheetFinding:
    """A finding, or several of one kind."""

    severity: Severity
    text: str
    advice: str


@dataclass(frozen=True, eq=False)
class SheetContent:
    """A work sheet."""

    name: str
    """Of the hold."""
    facts: tuple[str, ...]
    """Sizes and amounts, for the head."""
    made: tuple[str, ...]
    """Date, recipe and digest, program: what the sheet was made from."""
    drawing: HoldDrawing
    settings: SheetTable
    """How the parts are printed, and what that takes."""
    hardware: SheetTable
    size: SheetTable
    """hardware, size: bolt and screws; sizes, allowances and the back."""
    work: tuple[tuple[str, str], ...]
    """Title and text of each thing to do, in order."""
    findings: tuple[SheetFinding, ...]
    """The one to look at first on top."""
    report: str
    """Name of the file that has all findings."""
    cautions: tuple[str, ...]
