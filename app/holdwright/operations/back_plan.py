"""Where the finished back comes to lie: planned by the scale step, to measure what stays, and by the trim."""

from dataclasses import dataclass, field, replace

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.measure.sections import section, signed_area
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.back_search import CANDIDATES, LEAST_KEPT, MOST_FOR_RIM, back_candidates
from holdwright.geometry.trim.cut_height import back_height
from holdwright.geometry.trim.flat_back import cut_above
from holdwright.hold.feature import BackPlane, FoundBack, GroundBlock
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.trim_parameters import TrimBaseParameters

WEIGHTY = 0.05
"""Share of the volume in front of the wall from which a body is not to fall off (our choice)."""

ON_WALL = 0.02
"""A back this near to the wall lies on it, mm."""


@dataclass(frozen=True)
class WallPlane:
    """A plane that the finished back is to lie on, z in mm, and what it comes from."""

    z: float
    source: str


@dataclass(frozen=True)
class BackPlan:
    """Where the trim cuts."""

    cut: float
    """z of the section that is drawn toward the wall, mm."""
    back: float
    """z of the finished back."""
    wall: WallPlane | None = None
    """What the back is to lie on, if anything: what is behind it does not count as lost."""
    joined: bool = False
    """Whether the sculpt's own surface stays between cut and back, because it joins bodies there."""
    searched: bool = False
    """Whether the back was looked for."""
    held: bool = False
    """Whether the cut stays where it is in the sculpt when that is scaled."""
    others: tuple[float, ...] = ()
    """z of further backs that would do."""
    findings: list[Finding] = field(default_factory=list)
    """What deserves a look."""


def planned_back(hold: Hold, parameters: TrimBaseParameters) -> BackPlan:
    """Plan the cut of a hold whose back is toward -z.

    Raises
    ------
    ParameterError
        When the parameters leave nothing of the hold.
    """
    low, top = (float(z) for z in hold.whole.bounds[:, 2])
    if parameters.by == "height":
        if parameters.height >= top - low:
            raise ParameterError(
                f"A cut {parameters.height:g} mm above the lowest point was asked for, but the hold is only "
                f"{top - low:.4g} mm deep; cut lower."
            )
        cut = low + parameters.height
        return BackPlan(cut, cut - parameters.rim)
    if parameters.by == "one outline":
        return _one_outline(hold, parameters)
    wall, findings = _wall(hold, parameters.rim)
    plan = _remembered(hold, parameters, wall) or _found(hold.whole, parameters, wall)
    return replace(plan, findings=[*findings, *plan.findings])


def _one_outline(hold: Hold, parameters: TrimBaseParameters) -> BackPlan:
    """Cut at the lowest height whose section is one outline that covers enough of the hold."""
    low, top = (float(z) for z in hold.whole.bounds[:, 2])
    faces = [block.point[2] for block in hold.find(GroundBlock) if block.normal[2] > 0.99]
    floor = max([low, *(z for z in faces if z < (low + top) / 2)])
    if planes := hold.find(BackPlane):
        floor = max(low, _plane(planes[-1], top))
    found = back_height(hold.whole, parameters.share, floor, parameters.rim)
    findings = []
    if not found.complete:
        parts = "" if found.outlines == 1 else f" in {found.outlines} parts"
        findings.append(
            new_finding("back_incomplete", found.cover * 100, parameters.share * 100, parts=parts)
        )
    missing = floor + parameters.rim - found.z
    return BackPlan(
        found.z, found.z - parameters.rim, findings=findings + _thin_findings(parameters.rim, missing)
    )


def _plane(plane: BackPlane, top: float) -> float:
    if plane.point[2] >= top:
        raise ParameterError(
            "The plane of the back lies beyond the front of the hold, so nothing would be left; draw it "
            "back toward the wall."
        )
    return plane.point[2]


def _wall(hold: Hold, rim: float) -> tuple[WallPlane | None, list[Finding]]:
    """Give the plane the back is to lie on, and why a ground block's face is not used where it is not."""
    low, top = (float(z) for z in hold.whole.bounds[:, 2])
    if planes := hold.find(BackPlane):
        return WallPlane(max(low, _plane(planes[-1], top)), "the plane given"), []
    findings = []
    faces = []
    for block in hold.find(GroundBlock):
        tilt = float(np.degrees(np.arccos(np.clip(block.normal[2], -1.0, 1.0))))
        z = block.point[2]
        if tilt > 1.0:
            findings.append(new_finding("ground_face_unused:tilted", tilt, 1.0, name=block.name))
        elif z + rim <= low:
            findings.append(new_finding("ground_face_unused:behind", low - z, name=block.name))
        elif z >= top:
            findings.append(new_finding("ground_face_unused:beyond", z - top, name=block.name))
        else:
            faces.append(z)
    return (WallPlane(max(faces), "the ground block's face") if faces else None), findings


def _remembered(hold: Hold, parameters: TrimBaseParameters, wall: WallPlane | None) -> BackPlan | None:
    """Give the plan that the scale step made."""
    found = hold.find(FoundBack)
    if not found:
        return None
    back = found[-1].point[2]
    searched = wall is None or abs(back - wall.z) > ON_WALL
    plan = _at(hold.whole, back, parameters.rim, wall, joined=found[-1].joined, searched=searched)
    return replace(plan, others=tuple(each[2] for each in found[-1].others))


def _at(
    whole: Solid,
    back: float,
    rim: float,
    wall: WallPlane | None,
    *,
    joined: bool = False,
    searched: bool = False,
) -> BackPlan:
    """Cut so that the finished back lies at a height: lower where the hold is too thin for the rim there."""
    if joined:
        findings = [new_finding("rim_joined", rim)]
        return BackPlan(back + rim, back, wall, joined=True, searched=searched, findings=findings)
    cut = cut_height(back, rim, float(whole.bounds[1, 2]))
    findings = _thin_findings(rim, back + rim - cut)
    return BackPlan(cut, cut - rim, wall, searched=searched, findings=findings)


def cut_height(back: float, rim: float, top: float) -> float:
    """Give where to cut for a rim above a back: lower where a hold up to `top` is too thin for it."""
    return min(back + rim, back + MOST_FOR_RIM * (top - back))


def _found(whole: Solid, parameters: TrimBaseParameters, wall: WallPlane | None) -> BackPlan:
    """Put the back on the wall where what is in front of it is one body; look for a height otherwise."""
    rim = parameters.rim
    if wall is not None:
        own, dropped = cut_above(whole, wall.z)
        if not dropped or dropped[0].volume < WEIGHTY * own.volume:
            return _at(whole, wall.z, rim, wall, joined=_rim_joins(own, wall.z, rim))
    floor = float(whole.bounds[0, 2]) if wall is None else wall.z
    best, *others = back_candidates(whole, floor, rim, 100.0 * parameters.least_outline)
    plan = _at(whole, best.z, rim, wall, joined=best.joined, searched=True)
    return replace(plan, others=tuple(each.z for each in others))


def _rim_joins(own: Solid, back: float, rim: float) -> bool:
    """Tell whether much of a body is lost where it is cut above the rim and its outline drawn down."""
    cut = cut_height(back, rim, float(own.bounds[1, 2]))
    kept = cut_above(own, cut)[0]
    drawn = rim * sum(signed_area(outline) for outline in section(kept, cut + 1e-6))
    return kept.volume + drawn < LEAST_KEPT * own.volume


def with_others(plan: BackPlan, hold: Hold, parameters: TrimBaseParameters) -> BackPlan:
    """Add up to two backs that would do as well, where the search gave none."""
    if plan.others or parameters.by == "one outline":
        return plan
    wall = _wall(hold, parameters.rim)[0]
    floor = float(hold.whole.bounds[0, 2]) if wall is None else wall.z
    found = back_candidates(hold.whole, floor, parameters.rim, 100.0 * parameters.least_outline)
    others = (each.z for each in found if abs(each.z - plan.back) > max(parameters.rim, 1.0))
    return replace(plan, others=tuple(others)[: CANDIDATES - 1])


def volume_in_front(whole: Solid, z: float) -> float:
    """Give the volume in front of a height, mm3."""
    return (
        cut_by_plane(whole, np.array([0.0, 0.0, 1.0]), z).volume if z > whole.bounds[0, 2] else whole.volume
    )


def _thin_findings(rim: float, missing: float) -> list[Finding]:
    return [] if missing <= 1e-9 else [new_finding("thin_for_rim", rim - missing, rim, missing=missing)]
