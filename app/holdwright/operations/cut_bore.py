"""Bore a hold for its bolts: clearance hole, seat and pocket, where the material carries them best."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, ClassVar

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import HoleSite, edge_distance
from holdwright.geometry.hole.seat import bolt_seat
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run, Upgrade
from holdwright.operations.bore_findings import (
    neighbour_findings,
    place_findings,
    print_findings,
    slot_findings,
    tilt_findings,
)
from holdwright.operations.bore_parameters import CutBoreParameters
from holdwright.operations.bore_placing import placing, usual_conditions
from holdwright.operations.bore_plan import BorePlan
from holdwright.operations.hole_step import HoleOperation, SeatedHole, must_be_on_back, piece_findings

__all__ = ["CutBore", "CutBoreParameters"]


def _one_round_bore(parameters: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew one round bore, square to the wall, printed standing: what the new values default to."""
    return parameters


def _found_by_holding_too(parameters: dict[str, Any]) -> dict[str, Any]:
    """Version 2 found places by the shape alone; what is written stays, and is looked for anew."""
    return parameters


class CutBore(HoleOperation[CutBoreParameters]):
    """A hold may have several bores: in a row by one step, or by a step for each."""

    name = "cut_bore"
    version = 3
    title = "Cut bore"
    summary = "Cuts clearance hole, seat and pocket for a bolt, or for several in a row."
    order = 60
    repeatable = True
    parameters = CutBoreParameters
    upgrades: ClassVar[Mapping[int, Upgrade]] = {1: _one_round_bore, 2: _found_by_holding_too}

    def apply(self, hold: Hold, parameters: CutBoreParameters, run: Run) -> Outcome:
        """Bore the hold."""
        whole, existing = hold.whole, hold.find(Bore)
        plan = BorePlan.of(parameters, run.catalogue)
        placed = placing(hold, parameters, plan, run)
        run.progress.report(0.4, "Measuring the place")
        bores = [_measured(whole, hole, plan, parameters) for hole in plan.holes(placed.x, placed.y)]
        findings = list(placed.findings)
        others, top = [bore.hole for bore in existing], float(whole.bounds[1, 2])
        for bore in bores:
            about = _findings(bore, plan, existing)
            about += neighbour_findings(bore.hole, others, plan.wall, top)
            findings += about if len(bores) == 1 else [_of_one(bore.hole, each) for each in about]
            others.append(bore.hole)
        findings += print_findings(bores[0].hole, parameters.printed)
        run.progress.report(0.6, "Boring")
        for bore in bores:
            cut = cut_hole(whole, bore.hole)
            whole = cut.solid
            findings += piece_findings(cut, "bore", "washer")
        features = [_feature(bore, plan) for bore in bores]
        return Outcome(hold.with_whole(whole, *features), tuple(findings), _result(features))

    def preview(
        self,
        parameters: CutBoreParameters,
        catalogue: Catalogue,
        x: float,
        y: float,
        surface: Mesh,
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
            low, _ = site.stretch(max(seat - 1e-3, 0.0))
            bare = np.isnan(low[site.ring]).any()
            under = 0.0 if bare else seat - site.under(low, site.ring)[0]
            seated.append(SeatedHole(replace(hole, seat=seat), site, under))
        return tuple(seated)

    def rows(self, parameters: CutBoreParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's and the washer's row, and those that its place is found by."""
        washer = (catalogue.washer(parameters.washer),) if parameters.washer is not None else ()
        usual = (usual_conditions(catalogue),) if parameters.place == "found" else ()
        return (catalogue.screw(parameters.screw), *washer, *usual)


def _measured(whole: Solid, hole: Hole, plan: BorePlan, parameters: CutBoreParameters) -> BoreFigures:
    """Find a bore's seat and measure what it meets."""
    edge = edge_distance(whole, hole.x, hole.y, hole.half_slot[:2])
    if parameters.place == "at":
        must_be_on_back(edge, "a bore", hole.x, hole.y)
    figures = BoreFigures.of(whole, hole, plan.rule, edge, plan.wall)
    if plan.rule.by == "depth" and figures.requested <= 0.0:
        raise ParameterError(
            f"A seat {plan.rule.depth:g} mm below the surface was requested, but on the axis at "
            f"{hole.x:.1f}, {hole.y:.1f} mm the hold is {figures.requested + plan.rule.depth:.1f} mm thick; "
            "give a lesser seat depth."
        )
    return figures


def _findings(bore: BoreFigures, plan: BorePlan, existing: tuple[Bore, ...]) -> list[Finding]:
    hardware = plan.hardware
    return [
        *place_findings(bore, plan.requirements(existing), hardware.stack),
        *tilt_findings(bore.hole, hardware),
        *slot_findings(bore.hole, hardware),
    ]


def _of_one(hole: Hole, finding: Finding) -> Finding:
    """Say which of several bores a finding is about."""
    return replace(finding, message=f"Bore at {hole.x:.1f}, {hole.y:.1f} mm: {finding.message}")


def _feature(bore: BoreFigures, plan: BorePlan) -> Bore:
    hole, hardware = bore.hole, plan.hardware
    return Bore(
        x=hole.x,
        y=hole.y,
        axis=hole.axis,
        clearance_diameter=hole.clearance_diameter,
        pocket_diameter=hole.pocket_diameter,
        seat_z=float(hole.on_axis(hole.seat)[2]),
        thickness_under_seat=bore.thickness.value,
        screw=hardware.screw.name,
        washer=hardware.washer.name if hardware.washer else None,
        cone_angle=hole.cone_angle,
        slot=hole.slot,
        slot_along=hole.slot_along,
    )


def _result(bores: Sequence[Bore]) -> str:
    thick = [bore.thickness_under_seat for bore in bores]
    x, y = (round(each, 1) + 0.0 for each in (bores[0].x, bores[0].y))
    if len(bores) == 1:
        return f"seat {thick[0]:.1f} mm thick, at {x:.1f}, {y:.1f} mm"
    return f"{len(bores)} bores, seats {min(thick):.1f} to {max(thick):.1f} mm thick"
