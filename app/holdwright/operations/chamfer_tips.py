"""Cut dangerous tips blunt."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from holdwright.geometry.arrays import Floats
from holdwright.geometry.tips.chamfer import SHARP_ANGLE, TipCutting, cut_normal, cut_tips
from holdwright.geometry.tips.tip_search import SharpEdge, Tip, TipSearch
from holdwright.hold.feature import Rim, TipCut
from holdwright.hold.finding import Finding, point
from holdwright.hold.finding_builder import counted, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.hold.picks import settle
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.envelope_size import departure_of
from holdwright.operations.tips_since import tips_since
from holdwright.parameters.kinds import Angle, Length, Parameters, Picks, Relevant

LEAST_EDGE = 3.0
"""Sharp edges a cut leaves are reported from this length, mm."""

MOST_EDGES = 8
"""No more sharp edges of the sculpt than this are reported one by one."""


class ChamferTipsParameters(Parameters):
    """Which tips are cut, and how."""

    tips: Literal["found", "picked", "both"] = Field("found", title="Tips")
    """Cut the tips found on the hold, those picked by hand, or both."""
    limit: Annotated[Angle, Relevant("tips", ("found", "both"))] = Field(
        75.0, ge=10.0, le=150.0, title="Sharper than"
    )
    """Tips sharper than a cone of this apex angle are found. Common practice, no source."""
    picks: Annotated[Picks, Relevant("tips", ("picked", "both"))] = Field((), title="Picked tips")
    """Places at or near the tips to cut, however blunt these are."""
    leave_out: Annotated[Picks, Relevant("tips", ("found", "both"))] = Field((), title="Leave alone")
    """Of the tips found, the ones nearest to these places are not cut."""
    width: Length = Field(8.0, ge=0.5, le=60.0, title="Flat width")
    """Diameter of the largest circle inside the flat that is cut."""
    low_height: Length = Field(25.0, ge=0.0, le=300.0, title="Low tips below")
    """Tips no higher above the wall than this are cut at the angle below, others square."""
    angle: Angle = Field(40.0, ge=0.0, le=90.0, title="Flat's angle to the wall")
    """Angle between the wall and the flat of a low tip, which faces outward and off the wall."""
    deepest: Length = Field(20.0, ge=0.5, le=100.0, title="Deepest cut")
    """No flat lies farther inside of the tip."""
    ball: Length = Field(4.0, ge=1.0, le=20.0, title="Ball")
    """Sharpness is how much of a ball of this radius round a place is solid; tips rounded more than about a
    third of it do not count."""


@dataclass(frozen=True, eq=False)
class _Chosen:
    """The tips to cut, how many there were to choose from, and what deserves a look."""

    tips: list[Tip] = field(default_factory=list)
    count: int = 0
    findings: list[Finding] = field(default_factory=list)


class ChamferTips(Operation[ChamferTipsParameters]):
    """May stand in a recipe several times: picks of a later one see the flats of the earlier."""

    name = "chamfer_tips"
    title = "Chamfer tips"
    summary = "Cuts dangerous tips blunt."
    order = 50
    repeatable = True
    parameters = ChamferTipsParameters

    def looks_back(self, parameters: ChamferTipsParameters) -> bool:
        """Which tips were cut on the sculpt before matters for what is told."""
        del parameters
        return True

    def apply(self, hold: Hold, parameters: ChamferTipsParameters, run: Run) -> Outcome:
        """Cut the tips."""
        whole = hold.whole
        hold.check_size(f"A flat of {parameters.width:g} mm was asked for")
        run.progress.report(0.1, "Looking for tips")
        with run.stopwatch.searching("tips"):
            chosen = _choose(hold, parameters)
        run.progress.report(0.5, "Cutting tips blunt")
        places = [(tip.place, _normals(tip, parameters)) for tip in chosen.tips]
        solid, cuttings = cut_tips(whole, places, parameters.width, parameters.deepest)
        findings = chosen.findings
        features = []
        rim = max((each.height for each in hold.find(Rim)), default=0.0)
        for tip, cutting in zip(chosen.tips, cuttings, strict=True):
            findings += _cut_findings(tip, cutting, parameters.width, rim)
            if cutting is not None and cutting.removed > 0.0:
                features.append(
                    TipCut(point(cutting.place), point(cutting.normal), cutting.width, cutting.removed)
                )
        done = hold.with_whole(solid, *features) if features else hold
        findings += _size_findings(hold, done) if features else []
        findings += tips_since(run.before, [feature.place for feature in features])
        return Outcome(done, tuple(findings), _result(len(features), chosen.count, parameters))


def _size_findings(before: Hold, after: Hold) -> list[Finding]:
    """Say what the cuts took off the size requested."""
    had, has = (departure_of(each, each.whole) for each in (before, after))
    if had is None or has is None or had[1] - has[1] <= limit_of("tips_cut_size"):
        return []
    return [new_finding("tips_cut_size", had[1] - has[1], rule=had[0])]


def _normals(tip: Tip, parameters: ChamferTipsParameters) -> tuple[Floats, ...]:
    """Give the flat's normal, and for a low tip the one to fall back on."""
    return (cut_normal(tip.axis, tip.place, parameters.angle), tip.axis) if tip.low else (tip.axis,)


def _choose(hold: Hold, parameters: ChamferTipsParameters) -> _Chosen:
    """Find and settle the tips to cut, all on the hold as it enters the step."""
    chosen = _Chosen()
    if parameters.tips == "picked" and not parameters.picks:
        return chosen
    search = TipSearch(hold.whole, parameters.ball, low_height=parameters.low_height)
    tips: list[Tip] = []
    count = 0
    if parameters.tips != "picked":
        found, edges = search.found(parameters.limit)
        chosen.findings.extend(_search_findings(search.left_out(parameters.limit), parameters.ball))
        chosen.findings.extend(_edge_findings(edges, parameters.ball, parameters.limit))
        left = _left_out(hold, found, parameters, chosen.findings)
        tips += [tip for tip in found if not any(tip is other for other in left)]
        count += len(found)
    if parameters.tips != "found":
        picked = _picked(hold, search, parameters, chosen.findings)
        new = [tip for tip in picked if not _is_among(tip, tips, parameters.ball)]
        tips += new
        count += len(new)
    return _Chosen(tips, count, chosen.findings)


def _is_among(tip: Tip, others: list[Tip], ball: float) -> bool:
    return any(float(np.linalg.norm(tip.place - other.place)) < ball for other in others)


def _left_out(
    hold: Hold, found: tuple[Tip, ...], parameters: ChamferTipsParameters, findings: list[Finding]
) -> list[Tip]:
    """Give the found tips nearest to the places to leave alone."""
    left = []
    for number, pick in enumerate(parameters.leave_out, start=1):
        settled = settle(hold.whole, pick, f"tip {number} to leave alone")
        away, tip = _nearest(found, np.array(pick.point))
        if tip is not None and away <= limit_of("tip_followed"):
            left.append(tip)
            if settled.findings:
                followed = new_finding(
                    "tip_followed", away, where=tip.place, number=number, what="to leave alone"
                )
                findings.append(followed)
            continue
        away, tip = _nearest(found, settled.point)
        findings.extend(settled.findings)
        if tip is not None and away <= limit_of("leave_out_unused"):
            left.append(tip)
            continue
        least = None if tip is None else away
        findings.append(new_finding("leave_out_unused", least, where=settled.point, number=number))
    return left


def _nearest(tips: Sequence[Tip], place: Floats) -> tuple[float, Tip | None]:
    """Give the tip nearest to a place, and how far it is, mm."""
    return min(
        ((float(np.linalg.norm(tip.place - place)), tip) for tip in tips),
        key=lambda each: each[0],
        default=(np.inf, None),
    )


def _picked(
    hold: Hold, search: TipSearch, parameters: ChamferTipsParameters, findings: list[Finding]
) -> list[Tip]:
    """Give the tips picked by hand, each once."""
    picked: list[Tip] = []
    for number, pick in enumerate(parameters.picks, start=1):
        settled = settle(hold.whole, pick, f"tip {number}")
        if settled.findings:
            # Not where it was picked: it may have grown, shrunk or been bent.
            away, same = _nearest(search.found(parameters.limit)[0], np.array(pick.point))
            if same is not None and away <= limit_of("tip_followed"):
                findings.append(
                    new_finding("tip_followed", away, where=same.place, number=number, what="to cut")
                )
                picked += [] if _is_among(same, picked, parameters.ball) else [same]
                continue
        findings.extend(settled.findings)
        tip = search.near(settled.point)
        if 100.0 * tip.ball_fraction <= limit_of("pick_not_a_tip"):
            if not _is_among(tip, picked, parameters.ball):
                picked.append(tip)
            continue
        findings.append(
            new_finding("pick_not_a_tip", 100.0 * tip.ball_fraction, where=settled.point, number=number)
        )
    return picked


def _edge_findings(edges: tuple[SharpEdge, ...], ball: float, limit: float) -> list[Finding]:
    """Report what is as sharp as a tip and is none; `ball` in mm, `limit` in degrees."""
    findings = [
        new_finding(
            "edge_not_cut" if edge.length >= 2 * ball else "sharp_corner",
            edge.angle,
            limit,
            edge.place,
            length=edge.length,
        )
        for edge in edges[:MOST_EDGES]
    ]
    if len(edges) > MOST_EDGES:
        findings.append(new_finding("more_sharp_edges", float(len(edges) - MOST_EDGES)))
    return findings


def _search_findings(left_out: float, ball: float) -> list[Finding]:
    """Report an incomplete search; `left_out` is a share of what may be sharp, 0 to 1, `ball` in mm."""
    return [new_finding("tips_not_all_searched", 100.0 * left_out, ball=ball)] if left_out > 0.0 else []


def _cut_findings(tip: Tip, cutting: TipCutting | None, width: float, rim: float) -> list[Finding]:
    """Report what one cut left; `width` was requested, `rim` is the rim's height, both mm."""
    if cutting is None:
        return [new_finding("tip_gone", where=tip.place)]
    if cutting.removed == 0.0:
        return [new_finding("tip_not_cut", where=tip.place)]
    findings = []
    if tip.low and abs(float(cutting.normal @ tip.axis)) > 1.0 - 1e-9:
        findings.append(new_finding("low_tip_cut_square", where=cutting.place))
    if not cutting.reached:
        code = "flat_too_narrow:stopped" if cutting.stopped else "flat_too_narrow"
        findings.append(new_finding(code, cutting.width, width, cutting.place, depth=cutting.depth))
    edge = cutting.edge
    if edge is not None and edge.length >= LEAST_EDGE:
        left = new_finding("cut_leaves_sharp_edge", edge.angle, SHARP_ANGLE, edge.place, length=edge.length)
        findings.append(left)
    if cutting.lowest < rim or cutting.lowest <= 1e-6:
        code = "cut_reaches_back" if cutting.lowest <= 1e-6 else "cut_reaches_rim"
        findings.append(new_finding(code, cutting.lowest, rim, cutting.place))
    return findings


def _result(cut: int, count: int, parameters: ChamferTipsParameters) -> str:
    """Give the step's one line."""
    if count:
        return f"{cut} of {counted(count, 'tip')} cut"
    if parameters.tips == "picked":
        return "no tip picked"
    return f"no tip sharper than {parameters.limit:g} deg"
