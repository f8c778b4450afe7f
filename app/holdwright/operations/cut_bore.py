"""Bore a hold for its bolts: clearance hole, seat and pocket, where the material carries them best."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.bore import BoreCut, BoreShape, cut_bore
from holdwright.geometry.hole.bore_check import BoreFigures, edge_distance, measure_bore
from holdwright.geometry.hole.bore_site import BoreSite
from holdwright.geometry.hole.bore_walls import Least
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run, Upgrade
from holdwright.operations.bore_cautions import key_findings, print_findings, slot_findings, tilt_findings
from holdwright.operations.bore_findings import neighbour_findings, piece_findings, place_findings
from holdwright.operations.bore_parameters import CutBoreParameters
from holdwright.operations.bore_placing import placing, usual_conditions
from holdwright.operations.bore_plan import BorePlan, shape_of

__all__ = ["CutBore", "CutBoreParameters"]


def _one_round_bore(parameters: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew one round bore, square to the wall, printed standing: what the new values default to."""
    return parameters


def _found_by_holding_too(parameters: dict[str, Any]) -> dict[str, Any]:
    """Version 2 found places by the shape alone; what is written stays, and is looked for anew."""
    return parameters


@dataclass(frozen=True, eq=False)
class _Measured:
    """A bore with its seat, the height that was asked for, and what it meets."""

    shape: BoreShape
    asked: float
    figures: BoreFigures


class CutBore(Operation[CutBoreParameters]):
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
        whole, there = hold.whole, hold.find(Bore)
        plan = BorePlan.of(parameters, run.catalogue)
        placed = placing(hold, parameters, plan, run)
        run.progress.report(0.4, "Measuring the place")
        bores = [_measured(whole, shape, plan, parameters) for shape in plan.shapes(placed.x, placed.y)]
        findings = list(placed.findings)
        others, top = [shape_of(bore) for bore in there], float(whole.bounds[1, 2])
        for bore in bores:
            met = _findings(bore, plan, there)
            met += neighbour_findings(bore.shape, others, plan.wall, top)
            findings += met if len(bores) == 1 else [_told_of(bore.shape, each) for each in met]
            others.append(bore.shape)
        findings += print_findings(bores[0].shape, parameters.printed)
        run.progress.report(0.6, "Boring")
        cuts = _cut(whole, [bore.shape for bore in bores])
        findings += [finding for cut in cuts for finding in piece_findings(cut)]
        features = [_feature(bore, plan) for bore in bores]
        return Outcome(hold.with_whole(cuts[-1].solid, *features), tuple(findings), _result(features))

    def rows(self, parameters: CutBoreParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's and the washer's row, and those that its place is found by."""
        washer = (catalogue.washer(parameters.washer),) if parameters.washer is not None else ()
        usual = (usual_conditions(catalogue),) if parameters.place == "found" else ()
        return (catalogue.screw(parameters.screw), *washer, *usual)


def _measured(whole: Solid, shape: BoreShape, plan: BorePlan, parameters: CutBoreParameters) -> _Measured:
    """Find a bore's seat and measure what it meets."""
    edge = edge_distance(whole, shape.x, shape.y, shape.half_slot[:2])
    if parameters.place == "at":
        _must_be_on_base(edge, shape.x, shape.y)
    site = BoreSite.of(whole, shape)
    asked, seat = site.seat_heights(plan.rule)
    if plan.rule.by == "depth" and asked <= 0.0:
        raise ParameterError(
            f"A seat {plan.rule.depth:g} mm below the surface was asked for, but on the axis at "
            f"{shape.x:.1f}, {shape.y:.1f} mm the hold is {asked + plan.rule.depth:.1f} mm thick; "
            "give a lesser seat depth."
        )
    seated = replace(shape, seat=seat)
    return _Measured(seated, asked, measure_bore(whole, site, seated, edge, deep=parameters.wall))


def _findings(bore: _Measured, plan: BorePlan, there: tuple[Bore, ...]) -> list[Finding]:
    shape, figures, hardware = bore.shape, bore.figures, plan.hardware
    return [
        *place_findings(shape, figures, plan.wanted(there), bore.asked, hardware.stack),
        *key_findings(shape, figures, hardware),
        *tilt_findings(shape, hardware),
        *slot_findings(shape, hardware),
    ]


def _told_of(shape: BoreShape, finding: Finding) -> Finding:
    """Say which of several bores a finding is about."""
    return replace(finding, message=f"Bore at {shape.x:.1f}, {shape.y:.1f} mm: {finding.message}")


def _cut(whole: Solid, shapes: Sequence[BoreShape]) -> list[BoreCut]:
    """Cut one bore after the other."""
    cuts: list[BoreCut] = []
    for shape in shapes:
        cuts.append(cut_bore(cuts[-1].solid if cuts else whole, shape))
    return cuts


def _feature(bore: _Measured, plan: BorePlan) -> Bore:
    shape, hardware = bore.shape, plan.hardware
    return Bore(
        x=shape.x,
        y=shape.y,
        axis=shape.axis,
        clearance_diameter=shape.clearance_diameter,
        pocket_diameter=shape.pocket_diameter,
        seat_z=float(shape.on_axis(shape.seat)[2]),
        thickness_under_seat=bore.figures.thickness.value,
        screw=hardware.screw.name,
        washer=hardware.washer.name if hardware.washer else None,
        cone_angle=shape.cone_angle,
        slot=shape.slot,
        slot_along=shape.slot_along,
    )


def _result(bores: Sequence[Bore]) -> str:
    thick = [bore.thickness_under_seat for bore in bores]
    x, y = (round(each, 1) + 0.0 for each in (bores[0].x, bores[0].y))
    if len(bores) == 1:
        return f"seat {thick[0]:.1f} mm thick, at {x:.1f}, {y:.1f} mm"
    return f"{len(bores)} bores, seats {min(thick):.1f} to {max(thick):.1f} mm thick"


def _must_be_on_base(edge: Least, x: float, y: float) -> None:
    if edge.value == float("-inf"):
        raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its back first.")
    if edge.value < 0.0:
        raise ParameterError(
            f"A bore at {x:g}, {y:g} mm was asked for, but that is {-edge.value:.1f} mm off the back; the "
            f"nearest edge of the back is at {edge.place[0]:.1f}, {edge.place[1]:.1f} mm: stay within it."
        )
