"""Cut the back flat and give it a straight rim."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar, Final

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import cut_by_plane, union
from holdwright.geometry.mesh.contact_bridge import bars_along, contact_edges
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.back_search import MOST_LOST
from holdwright.geometry.trim.cut_height import SPECK, silhouette_area
from holdwright.geometry.trim.edge_chamfer import chamfer_back
from holdwright.geometry.trim.flat_back import (
    BottomFace,
    bottom_face,
    cut_above,
    extend_down,
    largest_piece,
    levelled,
)
from holdwright.hold.feature import FoundBack, Rim
from holdwright.hold.finding import Finding, Severity
from holdwright.hold.finding_builder import contact_findings, counted, in_cm2, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.back_plan import ON_WALL, BackPlan, planned_back, volume_in_front, with_others
from holdwright.operations.base import Operation, Outcome, Run, Upgrade
from holdwright.operations.envelope_size import departure_of
from holdwright.operations.trim_parameters import TRIM_BASE, TrimBaseParameters, as_one_outline

UP: Final = np.array([0.0, 0.0, 1.0])

_TRIFLE, _MUCH, _DEEP = 0.005, 0.1, 0.25
"""Shares of the volume not worth a word and worth a warning, and of the depth (our choice)."""


@dataclass(frozen=True, eq=False)
class _Trimmed:
    """The hold cut and rimmed, and what deserves a look."""

    solid: Solid
    back: BottomFace
    specks: Floats
    dropped: tuple[Solid, ...]
    findings: list[Finding] = field(default_factory=list)


class TrimBase(Operation[TrimBaseParameters]):
    """The finished back is on z = 0 after it; stock to be sanded off, if any, below."""

    name = TRIM_BASE
    title = "Trim base"
    summary = "Cuts the back flat and gives it a straight rim."
    order = 40
    version: ClassVar[int] = 2
    upgrades: ClassVar[Mapping[int, Upgrade]] = {1: as_one_outline}
    parameters = TrimBaseParameters

    def apply(self, hold: Hold, parameters: TrimBaseParameters, run: Run) -> Outcome:
        """Trim the hold."""
        if parameters.chamfer > 0.0 and parameters.chamfer >= parameters.rim:
            raise ParameterError(
                f"A back chamfer of {parameters.chamfer:g} mm needs a higher rim than {parameters.rim:g} mm; "
                "make the rim higher or the chamfer smaller."
            )
        whole = hold.whole
        low = float(whole.bounds[0, 2])
        run.progress.report(0.1, "Looking for the height to cut at")
        with run.stopwatch.searching("trim height"):
            plan = with_others(planned_back(hold, parameters), hold, parameters)
        run.progress.report(0.3, "Cutting the back")
        moved = hold.moved(placement(shift=np.array([0.0, 0.0, parameters.rim - plan.cut])))
        trimmed = _trimmed(moved.whole, parameters, joined=plan.joined)
        rim = Rim(
            height=parameters.rim,
            allowance=parameters.allowance,
            chamfer=parameters.chamfer,
            area=trimmed.back.area,
            islands=len(trimmed.back.islands),
            holes=len(trimmed.back.holes),
            candidates=tuple(back + parameters.rim - low for back in (plan.back, *plan.others)),
        )
        findings = [*plan.findings, *_findings(trimmed, parameters), *_cost_findings(whole, trimmed, plan)]
        findings += _size_findings(moved, trimmed.solid)
        on_wall = plan.wall is not None and not plan.searched
        where = f" on {plan.wall.source}" if plan.wall is not None and on_wall else ""
        result = (
            f"rim {rim.height:g} mm, back {in_cm2(rim.area)}{where}, "
            f"cut {plan.cut - low:.1f} mm above the lowest point"
        )
        kept = replace(
            moved, features=tuple(each for each in moved.features if not isinstance(each, FoundBack))
        )
        return Outcome(kept.with_whole(trimmed.solid, rim), tuple(findings), result)


def _trimmed(whole: Solid, parameters: TrimBaseParameters, *, joined: bool) -> _Trimmed:
    """Cut at z = rim and draw the outline down to z = 0, and on by the allowance.

    Where bodies are joined below the cut alone, the sculpt's own surface stays down to z = 0 as well.
    """
    up = parameters.rim
    solid, dropped = (cut_by_plane(whole, UP, up), ()) if joined else cut_above(whole, up)
    face = bottom_face(solid, up)
    if parameters.by == "height" and face.islands[0] < SPECK:
        raise ParameterError(
            f"Where the cut was asked for, the hold's section is only {face.area:.2g} mm2; cut elsewhere."
        )
    back, specks = _without_specks(face, parameters)
    later = joined or parameters.chamfer > 0.0
    foot = 0.0 if later else 0.0 - parameters.allowance
    if foot < up:
        solid = extend_down(solid, back, up, foot)
    if joined:
        own = cut_by_plane(whole, UP, 0.0, "the hold in front of the wall")
        solid, dropped = largest_piece(union([solid, own], "the hold with its rim"))
        solid = levelled(solid, 0.0)
    if parameters.chamfer > 0.0:
        solid = levelled(chamfer_back(solid, parameters.chamfer), 0.0)
    if later:
        back, more = _without_specks(bottom_face(solid, 0.0), parameters)
        specks += more
        if parameters.allowance > 0.0:
            solid = extend_down(solid, back, 0.0, -parameters.allowance)
    solid, findings = _joined(levelled(solid, 0.0), up)
    return _Trimmed(solid, back, np.array(specks), dropped, findings)


def _without_specks(face: BottomFace, parameters: TrimBaseParameters) -> tuple[BottomFace, list[float]]:
    """Part off the islands too small for a rim; where all are that small the largest is the back."""
    back = face.without_specks(min(100.0 * parameters.least_outline, float(face.islands[0])))
    return back, [*face.islands[len(back.islands) :]]


def _joined(solid: Solid, rim: float) -> tuple[Solid, list[Finding]]:
    """Join the hold where its outline touched itself, which the rim draws out to upright edges."""
    low, high = solid.bounds
    box = np.array([low, [*high[:2], rim]])
    edges = contact_edges(solid, [box])
    if not len(edges):
        return solid, []
    solid = levelled(union([solid, bars_along(edges, float(low[2]))], "the hold joined at its rim"), 0.0)
    return solid, contact_findings(edges, contact_edges(solid, [box]))


def _findings(trimmed: _Trimmed, parameters: TrimBaseParameters) -> list[Finding]:
    findings = list(trimmed.findings)
    back, specks, dropped = trimmed.back, trimmed.specks, trimmed.dropped
    if len(back.islands) > 1:
        where, areas = (*back.centres[1], 0.0), _listed(back.islands)
        findings.append(new_finding("back_in_parts", float(len(back.islands)), where=where, areas=areas))
    if len(holes := back.holes[back.holes >= SPECK]):
        findings.append(new_finding("back_has_holes", float(len(holes)), areas=_listed(holes)))
    if len(specks):
        least, words = 100.0 * parameters.least_outline, counted(len(specks), "outline")
        findings.append(
            new_finding("specks_left", float(specks.max()), least, specks=words, areas=_listed(specks))
        )
    if dropped:
        lost, where = sum(piece.volume for piece in dropped), dropped[0].bounds.mean(axis=0)
        pieces = counted(len(dropped), "piece")
        findings.append(new_finding("piece_dropped", lost, where=where, pieces=pieces, cm3=lost / 1000))
    limit = limit_of("back_small") / 100.0
    if parameters.by != "height" and back.area < limit * float(np.prod(trimmed.solid.size[:2])):
        cover = back.area / silhouette_area(trimmed.solid)
        if cover < limit:
            findings.append(new_finding("back_small", 100.0 * cover, area=in_cm2(back.area)))
    return findings


def _cost_findings(whole: Solid, trimmed: _Trimmed, plan: BackPlan) -> list[Finding]:
    """Say what the trim takes, and how the back was chosen where it was looked for."""
    volume, cost = trimmed.solid.volume, 1.0 - trimmed.solid.volume / whole.volume
    if plan.wall is not None and (plan.searched or cost > MOST_LOST):
        cost = 1.0 - volume / volume_in_front(whole, plan.wall.z)
    findings = []
    low = float(whole.bounds[0, 2])
    if plan.searched and plan.wall is None and cost > _TRIFLE:
        outlines, area = counted(len(trimmed.back.islands), "outline"), in_cm2(trimmed.back.area)
        percent = max(100.0 * cost, 0.0)
        depth = (plan.back - low) / float(whole.size[2])
        severity: Severity = "warning" if cost > _MUCH or depth > _DEEP else "note"
        findings.append(
            new_finding(
                "back_chosen",
                plan.back - low,
                severity=severity,
                outlines=outlines,
                area=area,
                percent=percent,
            )
        )
    elif plan.searched and plan.wall is not None and plan.back - plan.wall.z > ON_WALL:
        cm3 = max(cost, 0.0) * volume / max(1.0 - cost, 1e-9) / 1000.0
        height = plan.wall.z + plan.cut - plan.back - low
        findings.append(
            new_finding(
                "back_off_wall", plan.back - plan.wall.z, cm3=cm3, source=plan.wall.source, height=height
            )
        )
    taken = 100.0 * cost
    if plan.searched and taken > 100.0 * MOST_LOST:
        findings.append(new_finding("trim_takes_much", taken, 100.0 * MOST_LOST, severity="error"))
    elif taken > limit_of("trim_takes_much"):
        findings.append(new_finding("trim_takes_much", taken))
    return findings


def _size_findings(hold: Hold, solid: Solid) -> list[Finding]:
    """Say by how much the finished hold departs from the envelope requested."""
    found = departure_of(hold, solid)
    if found is None or abs(found[1]) <= limit_of("size_departs"):
        return []
    return [new_finding("size_departs", found[1], rule=found[0])]


def _listed(areas: Floats) -> str:
    texts = [f"{area / 100:.3g}" for area in areas[:5]]
    return ", ".join(texts) + (" and more cm2" if len(areas) > 5 else " cm2")
