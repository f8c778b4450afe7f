"""What every check of a print is, and what it gives."""

from collections.abc import Callable
from dataclasses import dataclass

from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Floats
from holdwright.hold.finding import Finding, Point
from holdwright.hold.finding_builder import finding_table
from holdwright.progress import Progress


@dataclass(frozen=True, eq=False)
class SurfaceMap:
    """A check's figure over the surface of a part."""

    part: str
    values: Floats
    """(m,) float64, one for each triangle of the part's mesh; infinite or NaN where there is none."""
    unit: str
    limit: float
    least: bool = True
    """Whether values below the limit miss it; False: those above."""


@dataclass(frozen=True)
class Proposal:
    """A change of the recipe that a check proposes."""

    operation: str
    parameter: str
    value: float
    """operation, parameter, value: the step of that operation, and what its parameter would be."""
    words: str
    """What that is for, as something to do; lengths in mm."""


@dataclass(frozen=True, eq=False)
class Checked:
    """What a check found."""

    figure: float | None = None
    """The worst there is; None where there is nothing to measure."""
    limit: float | None = None
    """figure, limit: in the unit of the check."""
    place: Point | None = None
    """Where the figure was measured, mm in the frame of the hold."""
    findings: tuple[Finding, ...] = ()
    """What deserves a look; empty where the check is passed."""
    maps: tuple[SurfaceMap, ...] = ()
    words: str = ""
    """What came of it, a few words: why there is nothing to measure, or what else was found."""
    proposal: Proposal | None = None


@dataclass(frozen=True)
class Check:
    """One question about how a hold prints."""

    code: str
    """Of its findings: a row of `resources/findings/checks.toml`."""
    title: str
    """Two or three words for people."""
    uses: tuple[str, ...]
    """Settings it depends on: fields of `PrintParameters`; one that names a row stands for the row too."""
    look: Callable[[PrintedHold, Progress], Checked]
    """Answers it, and tells how far it is.

    Raises
    ------
    GeometryError
        When a part cannot be measured.
    Cancelled
        When the progress requests it.
    """

    @property
    def unit(self) -> str:
        """Unit of its figure and limit."""
        return finding_table()[self.code].unit
