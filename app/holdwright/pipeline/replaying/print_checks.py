"""Checks how a finished hold prints, wherever its recipe was replayed."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

from holdwright.catalogue.catalogue import Catalogue
from holdwright.checks import run_checks
from holdwright.checks.build_volume import fit_on_bed
from holdwright.checks.check import Check, Checked, Proposal, SurfaceMap
from holdwright.checks.printed_hold import Memory, PrintedHold
from holdwright.errors import Cancelled, HoldwrightError
from holdwright.geometry.measure.bed_fit import BedFit
from holdwright.hold.finding import Finding, Point, Severity
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.finding_rank import GRAVEST
from holdwright.hold.hold import Hold
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT, Progress


@dataclass(frozen=True, eq=False)
class CheckRow:
    """One check of the print, as it is told and drawn."""

    code: str
    title: str
    unit: str
    """code, title, unit: as of `Check`."""
    figure: float | None
    limit: float | None
    place: Point | None
    words: str
    findings: tuple[Finding, ...]
    maps: tuple[SurfaceMap, ...]
    proposal: Proposal | None
    """figure, limit, place, words, findings, maps, proposal: as of `Checked`."""

    @classmethod
    def of(cls, check: Check, found: Checked) -> "CheckRow":
        """Put a check and what it found together."""
        return cls(check.code, check.title, check.unit, **vars(found))

    @property
    def verdict(self) -> Literal["passed"] | Severity:
        """The gravest of its findings."""
        return min((each.severity for each in self.findings), key=GRAVEST.index, default="passed")


@dataclass(frozen=True, eq=False)
class PrintVerdict:
    """How a finished hold prints by the settings of its recipe."""

    rows: tuple[CheckRow, ...] = ()
    """One for each check; empty where the print cannot be checked: a finding says why."""
    fit: BedFit | None = None
    """How it lies on the printer's bed."""
    problem: Finding | None = None
    """Why it cannot be checked."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Of all checks; places in the frame of the finished hold."""
        own = (self.problem,) if self.problem else ()
        return (*own, *(finding for row in self.rows for finding in row.findings))


def print_verdict(
    hold: Hold,
    requested: PrintParameters,
    catalogue: Catalogue,
    memory: Memory | None = None,
    progress: Progress = SILENT,
) -> PrintVerdict | None:
    """Check the print of a finished hold.

    Parameters
    ----------
    memory
        Answers checks whose solids and settings are those of the time before.

    Returns
    -------
    PrintVerdict | None
        None where there is nothing of true size to print yet.

    Raises
    ------
    Cancelled
        When the progress requests it.
    """
    if not hold.solids or not hold.sized:
        return None
    try:
        printed = PrintedHold.of(hold, requested, catalogue, memory)
        rows = tuple(CheckRow.of(*each) for each in run_checks(printed, progress))
        return PrintVerdict(rows, fit_on_bed(printed))
    except Cancelled:
        raise
    except HoldwrightError as error:
        return PrintVerdict(problem=new_finding("print_not_checked", reason=str(error).rstrip(".")))


def plain_checks(verdict: PrintVerdict | None) -> list[Mapping[str, Any]]:
    """Give the rows as plain values: figures and limits in `unit`, places in mm."""
    return [
        {
            "code": row.code,
            "title": row.title,
            "verdict": row.verdict,
            "figure": row.figure,
            "limit": row.limit,
            "unit": row.unit,
            "place": row.place,
            "words": row.words,
            "proposal": asdict(row.proposal) if row.proposal else None,
        }
        for row in (verdict.rows if verdict else ())
    ]
