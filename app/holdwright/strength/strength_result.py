"""What is told of a hold's strength: where it breaks first, from what load on, and what would change that."""

from dataclasses import dataclass
from typing import Final, Literal

from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import Point
from holdwright.ranges import Range
from holdwright.strength.weakest_section import BeamSection

FACTOR: Final = 2.0
"""No absolute load is known better than within this factor, either way: common practice, no source."""

LIMP: Final = 5.0
"""Beyond this deflection (mm) the hold no longer is the shape that was computed."""

LIMITS: Final = (
    "Linear and short-term, dry and at room temperature: no creep, fatigue, impact or faults of the print. "
    "Sharp creases are averaged over 200 mm3. A load is known no better than within a factor of two either "
    "way; ratios are more reliable. Not a test to any standard."
)
"""Said wherever any of it is shown."""

ChangeKind = Literal["infill", "skin", "material", "print direction", "bolt"]


@dataclass(frozen=True, eq=False)
class CaseStrength:
    """A hold under one load, as its material likely is."""

    direction: Point
    """Unit vector of the load; x to the right and y up on the wall, z away from it."""
    loaded_at: Point
    """Middle of the patch, mm."""
    force: float
    """What the joint is judged for, N."""
    index: float
    """Of that force: 1 where 200 mm3 bear all that they likely can."""
    stress: float
    """Exceeded in the hottest 200 mm3, von Mises, MPa."""
    breaks_at: Range
    """Load at which 200 mm3 exceed their strength, by the tables, the law of the infill and the grid, N."""
    place: Point
    """Middle of that volume, mm."""
    region: str
    """What it lies in, as "shell skin"."""
    between_layers: bool
    """Whether layers come apart there, rather than lines tearing."""
    deflection: float
    """Of the patch under the force, along it, mm."""

    @property
    def told(self) -> Range:
        """The load with a range that is honest: at least a factor of two either way, N."""
        found = self.breaks_at
        return Range(
            min(found.low, found.likely / FACTOR), found.likely, max(found.high, found.likely * FACTOR)
        )

    @property
    def limp(self) -> bool:
        """Whether it bends so far before it breaks that nothing finer than "near" can be said."""
        return self.index > 1.0 and self.deflection > LIMP


@dataclass(frozen=True)
class Change:
    """What a change would do."""

    kind: ChangeKind
    name: str
    """As "30 %", "3 passes" or "PLA"."""
    load: float
    """Load at which the hold breaks, by that of today."""
    deflection: float
    """Greatest deflection, by that of today."""
    solved: bool
    """Whether it was computed anew; else it follows from what was."""
    today: bool = False
    """Whether this is how it is."""
    refused: str = ""
    """Why it could not be computed; ratios are not a number then."""


@dataclass(frozen=True, eq=False)
class StrengthResult:
    """Where a hold breaks first."""

    cases: tuple[CaseStrength, ...]
    """The worst first."""
    changes: tuple[Change, ...]
    """By kind; empty where these were not asked for."""
    patch: Mesh
    """Surface of the volume that bears most under the first case, mm."""
    cell: float
    """Side of a cell, mm."""
    cells: int
    grid_error: float
    """Share by which the grid may be wrong, either way."""
    thin: float
    """Share of the hold's volume in walls under three cells."""
    second_opinion: BeamSection | None
    """Of the first case, where the hold projects slenderly there."""
    second_load: float | None
    """Load at which that section breaks, N."""
    printed: tuple[str, ...]
    """How its parts are printed, in words."""
    assumptions: tuple[str, ...]
    """What all of it stands on, a sentence each."""
    sources: tuple[str, ...]
    """Of strengths and moduli."""

    @property
    def worst(self) -> CaseStrength:
        """The case under which it breaks first."""
        return self.cases[0]
