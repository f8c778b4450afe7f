"""Cut the back flat and give it a straight rim."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.contact_bridge import bars_along, contact_edges
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.cut_height import SPECK, BackHeight, back_height
from holdwright.geometry.trim.edge_chamfer import chamfer_back
from holdwright.geometry.trim.flat_back import BottomFace, bottom_face, cut_above, extend_down, levelled
from holdwright.hold.feature import BackPlane, GroundBlock, Rim
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import contact_findings, counted, in_cm2, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.parameters.kinds import Length, Parameters, Relevant, Share


class TrimBaseParameters(Parameters):
    """Where the back is cut, and what its edge is like."""

    by: Literal["found", "height"] = Field(
        "found",
        title="Cut by",
        description="Found: the lowest height whose section is one outline that covers enough of the hold, "
        "and no lower than a plane picked for the back.",
    )
    share: Annotated[Share, Relevant("by", ("found",))] = Field(
        0.6,
        title="Cover",
        description="How much of the hold, seen on the wall, the back's outline shall cover.",
    )
    height: Annotated[Length, Relevant("by", ("height",))] = Field(
        5.0, ge=0.0, le=1000.0, title="Cut height", description="Height of the cut above the lowest point."
    )
    rim: Length = Field(
        3.0,
        ge=0.0,
        le=100.0,
        title="Rim",
        description="The outline at the cut is drawn straight toward the wall by this much.",
    )
    chamfer: Length = Field(
        0.0,
        ge=0.0,
        le=50.0,
        title="Back chamfer",
        description="Leg of a 45 degree chamfer of the finished back's edge; less than the rim.",
    )
    allowance: Length = Field(
        0.0,
        ge=0.0,
        le=20.0,
        title="Sanding stock",
        description="Straight stock below the finished back, with the back's outline, to be sanded off.",
    )


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

    name = "trim_base"
    title = "Trim base"
    summary = "Cuts the back flat and gives it a straight rim."
    order = 40
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
            cut, findings = _cut_height(hold, parameters)
        run.progress.report(0.3, "Cutting the back")
        moved = hold.moved(placement(shift=np.array([0.0, 0.0, parameters.rim - cut])))
        trimmed = _trimmed(moved.whole, parameters)
        rim = Rim(
            height=parameters.rim,
            allowance=parameters.allowance,
            chamfer=parameters.chamfer,
            area=trimmed.back.area,
            islands=len(trimmed.back.islands),
            holes=len(trimmed.back.holes),
        )
        findings += _findings(trimmed, whole.volume)
        result = (
            f"rim {rim.height:g} mm, back {in_cm2(rim.area)}, cut {cut - low:.1f} mm above the lowest point"
        )
        return Outcome(moved.with_whole(trimmed.solid, rim), tuple(findings), result)


def _cut_height(hold: Hold, parameters: TrimBaseParameters) -> tuple[float, list[Finding]]:
    """Give the z to cut at and what deserves a look about it."""
    low, top = (float(z) for z in hold.whole.bounds[:, 2])
    if parameters.by == "height":
        if parameters.height >= top - low:
            raise ParameterError(
                f"A cut {parameters.height:g} mm above the lowest point was asked for, but the hold is only "
                f"{top - low:.4g} mm deep; cut lower."
            )
        return low + parameters.height, []
    floor = _floor(hold)
    found = back_height(hold.whole, parameters.share, floor, parameters.rim)
    missing = floor + parameters.rim - found.z
    return found.z, _cover_findings(found, parameters.share) + _depth_findings(parameters.rim, missing)


def _floor(hold: Hold) -> float:
    """Lowest z the back may have: the plane picked for it, else the face of the ground block."""
    low, top = (float(z) for z in hold.whole.bounds[:, 2])
    planes = [plane.point[2] for plane in hold.find(BackPlane)]
    if planes:
        if planes[-1] >= top:
            raise ParameterError(
                "The plane of the back lies beyond the front of the hold, so nothing would be left; draw it "
                "back toward the wall."
            )
        return max(low, planes[-1])
    faces = [block.point[2] for block in hold.find(GroundBlock) if block.normal[2] > 0.99]
    return max([low, *(z for z in faces if z < (low + top) / 2)])


def _trimmed(whole: Solid, parameters: TrimBaseParameters) -> _Trimmed:
    """Cut at z = rim and draw the outline down to z = 0, and on by the allowance."""
    solid, dropped = cut_above(whole, parameters.rim)
    face = bottom_face(solid, parameters.rim)
    if parameters.by == "height" and face.islands[0] < SPECK:
        raise ParameterError(
            f"Where the cut was asked for, the hold's section is only {face.area:.2g} mm2; cut elsewhere."
        )
    # Where all is that small the largest is the back, and later steps say what it is worth.
    back = face.without_specks(min(SPECK, float(face.islands[0])))
    specks = [*face.islands[len(back.islands) :]]
    foot = 0.0 if parameters.chamfer > 0.0 else 0.0 - parameters.allowance
    if foot < parameters.rim:
        solid = extend_down(solid, back, parameters.rim, foot)
    if parameters.chamfer > 0.0:
        solid = levelled(chamfer_back(solid, parameters.chamfer), 0.0)
        face = bottom_face(solid, 0.0)
        back = face.without_specks(min(SPECK, float(face.islands[0])))
        specks += [*face.islands[len(back.islands) :]]
        if parameters.allowance > 0.0:
            solid = extend_down(solid, back, 0.0, -parameters.allowance)
    solid, findings = _joined(levelled(solid, 0.0), parameters.rim)
    return _Trimmed(solid, back, np.array(specks), dropped, findings)


def _joined(solid: Solid, rim: float) -> tuple[Solid, list[Finding]]:
    """Join the hold where its outline touched itself, which the rim draws out to upright edges."""
    low, high = solid.bounds
    box = np.array([low, [*high[:2], rim]])
    edges = contact_edges(solid, [box])
    if not len(edges):
        return solid, []
    solid = levelled(union([solid, bars_along(edges, float(low[2]))], "the hold joined at its rim"), 0.0)
    return solid, contact_findings(edges, contact_edges(solid, [box]))


def _depth_findings(rim: float, missing: float) -> list[Finding]:
    return [] if missing <= 1e-9 else [new_finding("thin_for_rim", rim - missing, rim, missing=missing)]


def _cover_findings(found: BackHeight, share: float) -> list[Finding]:
    if found.complete:
        return []
    parts = "" if found.outlines == 1 else f" in {found.outlines} parts"
    return [new_finding("back_incomplete", found.cover * 100, share * 100, parts=parts)]


def _findings(trimmed: _Trimmed, volume: float) -> list[Finding]:
    findings = list(trimmed.findings)
    back, specks, dropped = trimmed.back, trimmed.specks, trimmed.dropped
    if len(back.islands) > 1:
        where, areas = (*back.centres[1], 0.0), _listed(back.islands)
        findings.append(new_finding("back_in_parts", float(len(back.islands)), where=where, areas=areas))
    if len(back.holes):
        findings.append(new_finding("back_has_holes", float(len(back.holes)), areas=_listed(back.holes)))
    if len(specks):
        words = counted(len(specks), "speck")
        findings.append(
            new_finding("specks_left", float(specks.max()), SPECK, specks=words, areas=_listed(specks))
        )
    if dropped:
        lost, where = sum(piece.volume for piece in dropped), dropped[0].bounds.mean(axis=0)
        pieces = counted(len(dropped), "piece")
        findings.append(new_finding("piece_dropped", lost, where=where, pieces=pieces, cm3=lost / 1000))
    taken = 100.0 * (1.0 - trimmed.solid.volume / volume)
    if taken > limit_of("trim_takes_much"):
        findings.append(new_finding("trim_takes_much", taken))
    return findings


def _listed(areas: Floats) -> str:
    texts = [f"{area / 100:.3g}" for area in areas[:5]]
    return ", ".join(texts) + (" and more cm2" if len(areas) > 5 else " cm2")
