"""Cut dangerous tips blunt."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.tips.chamfer import cut_normal, cut_tips
from holdwright.geometry.tips.tip_search import Tip, TipSearch
from holdwright.hold.feature import Rim, TipCut
from holdwright.hold.finding import Finding, point
from holdwright.hold.finding_builder import counted, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.hold.picks import settle
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.tip_findings import cut_findings, edge_findings, search_findings
from holdwright.parameters.kinds import Angle, Length, Parameters, Picks, Relevant


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
    ball: Length = Field(
        4.0,
        ge=1.0,
        le=20.0,
        title="Ball",
        description="Sharpness is how much of a ball of this radius round a place is solid; "
        "tips rounded more than about a third of it do not count.",
    )


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

    def apply(self, hold: Hold, parameters: ChamferTipsParameters, run: Run) -> Outcome:
        """Cut the tips."""
        whole = hold.whole
        if not hold.sized:
            raise ParameterError(
                f"A flat of {parameters.width:g} mm was asked for, but the hold has no true size yet; "
                "scale it before this step."
            )
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
            findings += cut_findings(tip, cutting, parameters.width, rim)
            if cutting is not None and cutting.removed > 0.0:
                features.append(
                    TipCut(point(cutting.place), point(cutting.normal), cutting.width, cutting.removed)
                )
        done = hold.with_whole(solid, *features) if features else hold
        return Outcome(done, tuple(findings), _result(len(features), chosen.count, parameters))


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
        chosen.findings.extend(search_findings(search.left_out(parameters.limit), parameters.ball))
        chosen.findings.extend(edge_findings(edges, parameters.ball, parameters.limit))
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
        findings.extend(settled.findings)
        distances = [float(np.linalg.norm(tip.place - settled.point)) for tip in found]
        if distances and min(distances) <= limit_of("leave_out_unused"):
            left.append(found[int(np.argmin(distances))])
            continue
        least = min(distances, default=None)
        findings.append(new_finding("leave_out_unused", least, where=settled.point, number=number))
    return left


def _picked(
    hold: Hold, search: TipSearch, parameters: ChamferTipsParameters, findings: list[Finding]
) -> list[Tip]:
    """Give the tips picked by hand, each once."""
    picked: list[Tip] = []
    for number, pick in enumerate(parameters.picks, start=1):
        settled = settle(hold.whole, pick, f"tip {number}")
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


def _result(cut: int, count: int, parameters: ChamferTipsParameters) -> str:
    """Give the step's one line."""
    if count:
        return f"{cut} of {counted(count, 'tip')} cut"
    if parameters.tips == "picked":
        return "no tip picked"
    return f"no tip sharper than {parameters.limit:g} deg"
