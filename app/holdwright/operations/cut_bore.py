"""Bore a hold for its bolts: clearance hole, seat and pocket, where the material carries them best."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar, Final

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import CatalogueError, GeometryError, ParameterError
from holdwright.geometry.hole.bore_row import best_middle, sheared_upright
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import HoleSite, edge_distance, on_back
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.seat import bolt_seat, under_bolt
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding, Point
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import Conditions, conditions
from holdwright.joint.places.best_places import search_places
from holdwright.operations.base import Outcome, Run, Upgrade
from holdwright.operations.bore_plan import BorePlan, CutBoreParameters
from holdwright.operations.hole_findings import (
    bore_findings,
    neighbour_findings,
    piece_findings,
    print_findings,
)
from holdwright.operations.hole_step import HoleOperation, SeatedHole, elsewhere, must_be_on_back

__all__ = ["CutBore", "CutBoreParameters"]

SOUND: Final = 1.0 - 1e-3
"""Least share of what is required at which a place is kept."""
BETTER: Final = 0.05
"""A place that lacks something is left for one that has so much more of what is required."""


@dataclass(frozen=True)
class _Placed:
    """Where the bore goes, or the middle of several, mm, and whether it was left where it was before."""

    x: float
    y: float
    findings: list[Finding] = field(default_factory=list)
    kept: bool = False


class CutBore(HoleOperation[CutBoreParameters]):
    """A hold may have several bores: in a row by one step, or by a step for each."""

    name = "cut_bore"
    version = 4
    title = "Cut bore"
    summary = "Cuts clearance hole, seat and pocket for a bolt, or for several in a row."
    order = 60
    repeatable = True
    parameters = CutBoreParameters
    # Version 1 knew one round bore, square to the wall, printed standing: what the new values default to.
    # Version 2 found places by the shape alone: what is written stays, and is searched anew.
    # Version 3 searched anew on every sculpt, and no recipe remembered a place.
    upgrades: ClassVar[Mapping[int, Upgrade]] = {1: dict, 2: dict, 3: dict}

    def apply(self, hold: Hold, parameters: CutBoreParameters, run: Run) -> Outcome:
        """Bore the hold."""
        whole, existing = hold.whole, hold.find(Bore)
        plan = BorePlan.of(parameters, run.catalogue)
        placed = _placed(hold, plan, run)
        findings = placed.findings
        run.progress.report(0.4, "Measuring the place")
        bores = [_measured(whole, hole, plan) for hole in plan.holes(placed.x, placed.y)]
        others, top = [bore.hole for bore in existing], float(whole.bounds[1, 2])
        for bore in bores:
            about = bore_findings(bore, plan)
            about += neighbour_findings(bore.hole, others, parameters.wall, top)
            findings += about if len(bores) == 1 else [_of_one(bore.hole, each) for each in about]
            others.append(bore.hole)
        findings += print_findings(bores[0].hole, parameters.printed)
        run.progress.report(0.6, "Boring")
        for bore in bores:
            cut = cut_hole(whole, bore.hole)
            whole = cut.solid
            findings += piece_findings(cut, "bore", "washer")
        features = [_feature(bore, plan) for bore in bores]
        return Outcome(
            hold.with_whole(whole, *features), tuple(findings), _result(features), kept=placed.kept
        )

    def preview(
        self, parameters: CutBoreParameters, catalogue: Catalogue, x: float, y: float, surface: Mesh
    ) -> tuple[SeatedHole, ...]:
        """Seat the bores; see `HoleOperation.preview`. Without material, a seat is as thick as required."""
        plan = BorePlan.of(parameters, catalogue)
        seated = []
        for hole in plan.holes(x, y):
            site = HoleSite.of(surface, hole)
            try:
                seat = bolt_seat(site, plan.rule)[1]
            except GeometryError:
                seat = parameters.under_seat
            under, whole = under_bolt(site, seat).value, site.bare(seat).value <= 0.0
            seated.append(SeatedHole(replace(hole, seat=seat), site, under, whole))
        return tuple(seated)

    def looks_back(self, parameters: CutBoreParameters) -> bool:
        """Where its place is found, it matters where that was on the sculpt before."""
        return parameters.place == "found"

    def rows(self, parameters: CutBoreParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's and the washer's row, and those that its place is found by."""
        washer = (catalogue.washer(parameters.washer),) if parameters.washer is not None else ()
        usual = (_usual_conditions(catalogue),) if parameters.place == "found" else ()
        return (catalogue.screw(parameters.screw), *washer, *usual)


def _measured(whole: Solid, hole: Hole, plan: BorePlan) -> BoreFigures:
    """Seat a bore and measure it."""
    edge = edge_distance(whole, hole.x, hole.y, hole.half_slot[:2])
    if plan.parameters.place == "at":
        must_be_on_back(edge, "a bore", hole.x, hole.y)
    figures = BoreFigures.of(whole, hole, plan.rule, edge, plan.parameters.wall)
    if plan.rule.by == "depth" and figures.requested <= 0.0:
        raise ParameterError(
            f"A seat {plan.rule.depth:g} mm below the surface was requested, but on the axis at "
            f"{hole.x:.1f}, {hole.y:.1f} mm the hold is {figures.requested + plan.rule.depth:.1f} mm thick; "
            "give a lesser seat depth."
        )
    return figures


def _placed(hold: Hold, plan: BorePlan, run: Run) -> _Placed:
    """Take the requested place of the bore, or of the middle of several, keep it, or find the best one, mm.

    One round bore square to the wall goes where the hold stays put best too, under the usual conditions of
    the joint. Rows, slots and leaning bores go by the shape alone, and so does any bore whose joint cannot be
    computed.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0, or the row has no room on it.
    Cancelled
        When that is requested.
    """
    if plan.parameters.place == "at":
        return _Placed(*plan.parameters.at)
    before = _middle_before(plan, run)
    if before is None or plan.parameters.revised == "search":
        x, y, findings = _searched(hold, plan, run)
        return _Placed(x, y, [*findings, *elsewhere(before, x, y)])
    margin, what = plan.margin(hold.whole, *before[:2])
    if margin >= SOUND:
        return _Placed(*before[:2], [new_finding("place_chosen:kept", margin)], kept=True)
    x, y, findings = _searched(hold, plan, run)
    if margin >= 0.0 and plan.margin(hold.whole, x, y)[0] < margin + BETTER:
        return _Placed(*before[:2], [new_finding("place_chosen:at_best", margin, what=what)], kept=True)
    lost = f"{what} is {max(margin, 0.0):.2f} of what is required"
    return _Placed(x, y, [*findings, *elsewhere(before, x, y, lost)])


def _middle_before(plan: BorePlan, run: Run) -> Point | None:
    """Give where the bores were found on the sculpt before, their middle; None where that is not known."""
    if not run.before or len(run.before) != plan.parameters.count:
        return None
    x, y, _ = np.mean(run.before, axis=0).round(2).tolist()
    return x, y, 0.0


def _searched(hold: Hold, plan: BorePlan, run: Run) -> tuple[float, float, list[Finding]]:
    """Find the best place of the bore, or of the middle of several, mm; see `_placed`."""
    run.progress.report(0.1, "Looking for the place of the bore")
    with run.stopwatch.searching("place of the bore"):
        bore = plan.requirements(hold.find(Bore))
        best = _best_of_one(hold, plan, bore, run) if plan.alone else None
        if best is not None:
            x, y, findings = best
        else:
            x, y = best_middle(sheared_upright(hold.whole, plan.hole.axis), bore, plan.stands)
            findings = []
    x, y = round(x, 2), round(y, 2)
    # A row may stand astride a gap in the back, a bore by itself may not.
    return (*(on_back(hold.whole, x, y) if plan.alone else (x, y)), findings)


def _best_of_one(
    hold: Hold, plan: BorePlan, bore: BoreRequirements, run: Run
) -> tuple[float, float, list[Finding]] | None:
    """Find where the hold stays put best too; None where its joint cannot be computed."""
    progress, hardware = run.progress.part(0.1, 0.4), (plan.screw, plan.washer)
    try:
        usual = conditions(run.catalogue)
        best = search_places(hold, bore, hardware, usual, run.catalogue, progress=progress, alone=True).best[
            0
        ]
    except (CatalogueError, GeometryError, ParameterError):
        return None
    chosen = new_finding(
        "place_chosen",
        round(best.margin, 4),
        reason=best.reason,
        torque=usual.torque,
        material=usual.material.name,
        mass=usual.mass,
        factor=usual.factor,
    )
    return best.place.x, best.place.y, [chosen]


def _usual_conditions(catalogue: Catalogue) -> Conditions | None:
    """Give the conditions that joints are usually computed for, as far as the tables have them."""
    try:
        return conditions(catalogue)
    except (CatalogueError, ParameterError):
        return None


def _of_one(hole: Hole, finding: Finding) -> Finding:
    """Say which of several bores a finding is about."""
    return replace(finding, message=f"Bore at {hole.x:.1f}, {hole.y:.1f} mm: {finding.message}")


def _feature(bore: BoreFigures, plan: BorePlan) -> Bore:
    hole = bore.hole
    return Bore(
        x=hole.x,
        y=hole.y,
        axis=hole.axis,
        clearance_diameter=hole.clearance_diameter,
        pocket_diameter=hole.pocket_diameter,
        seat_z=float(hole.on_axis(hole.seat)[2]),
        thickness_under_seat=bore.under_seat.value,
        screw=plan.screw.name,
        washer=plan.washer.name if plan.washer else None,
        cone_angle=hole.cone_angle,
        slot=hole.slot,
        slot_along=hole.slot_along,
        wall=min(bore.at_hole.value, bore.at_pocket.value),
        allowance=plan.allowance,
    )


def _result(bores: Sequence[Bore]) -> str:
    thick = [bore.thickness_under_seat for bore in bores]
    x, y = (round(each, 1) + 0.0 for each in (bores[0].x, bores[0].y))
    if len(bores) == 1:
        return f"seat {thick[0]:.1f} mm thick, at {x:.1f}, {y:.1f} mm"
    return f"{len(bores)} bores, seats {min(thick):.1f} to {max(thick):.1f} mm thick"
