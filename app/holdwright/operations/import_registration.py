"""Bringing a revised sculpt back to where the one before it lay."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.registration import Registration
from holdwright.geometry.mesh.frame import move_points, placement, scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.operations.base import Run
from holdwright.operations.import_words import SUPPOSED_EXTENT

_CACHED: Final = "registration"
_WEIGHT: Final = 1000


@dataclass(frozen=True, eq=False)
class BroughtBack:
    """What was found of how a sculpt lies."""

    matrix: Floats
    """(4, 4) similarity from the sculpt's own coordinates to those it is imported in."""
    registration: Registration | None = None
    """How it lies to the earlier sculpt; None where that was not asked."""

    @property
    def is_other(self) -> bool:
        """Whether the sculpt is none of the earlier one's revisions."""
        return self.registration is not None and not self.registration.is_same

    @property
    def laid(self) -> Floats | None:
        """The matrix, where the sculpt was laid on the earlier one; as of `Hold.laid`."""
        return None if self.registration is None or self.is_other else self.matrix

    def sized_as_it_is(self, earlier: EarlierSculpt | None) -> Floats:
        """Give the matrix without its scale: what was moved and turned goes back, its middle where it lay."""
        if self.laid is None or earlier is None:
            return self.matrix
        turn = self.matrix[:3, :3] / scale_of(self.matrix)
        middle = earlier.shape.middle
        there = move_points(np.asarray(np.linalg.inv(self.matrix), dtype=np.float64), middle)
        return placement(turn, middle - turn @ there)


AS_IT_LIES: Final = BroughtBack(np.eye(4))


def brought_back(sculpt: Sculpt, run: Run) -> BroughtBack:
    """Find how a sculpt is brought back on the earlier one that the run knows of, if it does."""
    earlier = run.earlier
    if earlier is None or sculpt.digest == earlier.digest:
        return AS_IT_LIES
    stored = run.cache.get(_CACHED, (sculpt.digest, earlier)) if run.cache else None
    if isinstance(stored, BroughtBack):
        return stored
    run.progress.report(0.0, "laying the sculpt on the one before")
    with run.stopwatch.searching("the way the sculpt lies"):
        registration, matrix = earlier.lies(sculpt)
    found = BroughtBack(matrix if registration.is_same else np.eye(4), registration)
    if run.cache:
        run.cache.put(_CACHED, (sculpt.digest, earlier), found, _WEIGHT)
    return found


def lying_findings(
    found: BroughtBack, earlier: EarlierSculpt, mm: float | None, *, own_size: bool = False
) -> list[Finding]:
    """Report what was done about how a sculpt lay.

    Parameters
    ----------
    mm
        Of the earlier sculpt's unit; None where no unit is known.
    own_size
        Whether its own size was left to it.
    """
    lies = found.registration
    if lies is None:
        return []
    if found.is_other:
        return [new_finding("another_sculpt", 100.0 * lies.meeting)]
    findings = [new_finding("turn_undecided")] if lies.undecided else []
    if lies.at_rest:
        return findings
    sized = mm is not None
    extent = float(np.max(np.array(earlier.high) - np.array(earlier.low)))
    factor = mm if mm is not None else SUPPOSED_EXTENT / extent
    size = " before scaling" if sized else f" (before scaling, taken as {SUPPOSED_EXTENT:.0f} mm across)"
    turned = f", turned {lies.turned:.1f} degrees" if lies.turned >= 0.05 else ""
    scaled = f", {lies.scaled:.4g} times as large" if lies.scaled_much else ""
    away, meeting = lies.moved * factor, 100.0 * lies.meeting
    code = "sculpt_brought_back"
    if meeting < limit_of("sculpt_brought_back:unsure"):
        code = "sculpt_brought_back:unsure"
    elif own_size and lies.scaled_much:
        code = "sculpt_brought_back:own_size"
    shown = f"{away:.0f} mm" if away >= 10.0 else f"{away:.2g} mm"
    told = new_finding(
        code,
        away,
        shown=shown,
        size=size,
        turned=turned,
        scaled=scaled,
        meeting=meeting,
    )
    if not sized:
        told = replace(told, measured=100.0 * lies.moved / extent, unit="%")
    findings.append(replace(told, limit=None))
    if lies.rival is not None and not lies.undecided:
        findings.append(new_finding("lies_several_ways", lies.rival))
    return findings
