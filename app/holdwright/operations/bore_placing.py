"""Where a step's bores go, and why there."""

from dataclasses import dataclass

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import CatalogueError, GeometryError, ParameterError
from holdwright.geometry.hole.bore_row import best_middle, sheared_upright
from holdwright.geometry.hole.hole_site import on_back
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.joint.best_places import FoundPlace, search_places
from holdwright.joint.conditions import Conditions, conditions
from holdwright.operations.base import Run
from holdwright.operations.bore_parameters import CutBoreParameters
from holdwright.operations.bore_plan import BorePlan


@dataclass(frozen=True)
class Placing:
    """Where the bore goes, or the middle of several, mm, and what the search says of it."""

    x: float
    y: float
    findings: tuple[Finding, ...] = ()


def placing(hold: Hold, parameters: CutBoreParameters, plan: BorePlan, run: Run) -> Placing:
    """Take the place that is asked for, or find the best one.

    One round bore square to the wall goes where the hold stays put best too, under the usual conditions of
    the joint. Rows, slots and leaning bores go by the shape alone, and so does any bore whose joint cannot be
    reckoned.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0, or the row has no room on it.
    Cancelled
        When that is asked for.
    """
    if parameters.place == "at":
        return Placing(*parameters.at)
    run.progress.report(0.1, "Looking for the place of the bore")
    with run.stopwatch.searching("place of the bore"):
        bore = plan.requirements(hold.find(Bore))
        usual = usual_conditions(run.catalogue)
        best = _best_of_one(hold, plan, bore, usual, run) if plan.alone and usual else None
        findings: tuple[Finding, ...] = ()
        if best is not None and usual is not None:
            x, y, findings = best.place.x, best.place.y, (_chosen(best, usual),)
        else:
            x, y = best_middle(sheared_upright(hold.whole, plan.hole.axis), bore, plan.stands)
    x, y = round(x, 2), round(y, 2)
    # A row may stand astride a gap in the back, a bore by itself may not.
    return Placing(*(on_back(hold.whole, x, y) if plan.alone else (x, y)), findings)


def usual_conditions(catalogue: Catalogue) -> Conditions | None:
    """Give what joints are usually reckoned for, as far as the tables tell."""
    try:
        return conditions(catalogue)
    except (CatalogueError, ParameterError):
        return None


def _best_of_one(
    hold: Hold, plan: BorePlan, bore: BoreRequirements, usual: Conditions, run: Run
) -> FoundPlace | None:
    hardware = plan.hardware.screw, plan.hardware.washer
    try:
        found = search_places(hold, bore, hardware, usual, progress=run.progress.part(0.1, 0.4))
    except (GeometryError, ParameterError):
        return None
    return found.best[0]


def _chosen(best: FoundPlace, usual: Conditions) -> Finding:
    return new_finding(
        "place_chosen",
        round(best.place.margin, 4),
        reason=best.reason,
        torque=usual.torque,
        material=usual.material.name,
        mass=usual.mass,
        factor=usual.factor,
    )
