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
    """Names over all columns but the first, which the title stands over; empty for a list of names and
    values."""
    shares: tuple[float, ...] = ()
    """How wide the columns are, in proportion; empty where values share what the names leave."""
    common: str = ""
    below: str = ""
    """common, below: what goes for all rows, and a sentence on them."""

    @property
    def across(self) -> int:
        """How many columns it has."""
        return max((len(row) for row in self.rows), default=0)

    @property
    def narrow(self) -> bool:
        """Whether half the width of a sheet is enough."""
        return self.across <= 2 or bool(self.shares)


TableRows = tuple[tuple[SheetTable, ...], ...]
"""Tables from the top down, one or two beside each other."""


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
    holes: SheetTable
    """hardware, size, holes: bolts; sizes, allowances and the back; where each hole is."""
    work: tuple[tuple[str, str], ...]
    """Title and text of each thing to do, in order."""
    strength: tuple[tuple[str, str], ...]
    """Title and text of what was computed of its strength; empty where that was not asked for."""
    findings: tuple[SheetFinding, ...]
    """The one to look at first on top."""
    report: str
    """Name of the file that has all findings."""
    cautions: tuple[str, ...]

    @property
    def tables(self) -> TableRows:
        """All tables, paired where they are narrow."""
        return paired(self.settings, self.size, self.hardware, self.holes)


def paired(*tables: SheetTable) -> TableRows:
    """Set tables that say anything into rows: two narrow ones beside each other, wide ones alone."""
    rows: list[tuple[SheetTable, ...]] = []
    for table in tables:
        if not table.rows and not table.below:
            continue
        if rows and len(rows[-1]) == 1 and rows[-1][0].narrow and table.narrow:
            rows[-1] = (*rows[-1], table)
        else:
            rows.append((table,))
    return tuple(rows)
