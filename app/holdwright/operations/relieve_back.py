"""Relieve the back: a shallow pocket, so that the hold presses on its wall far from its bolt."""

from dataclasses import replace
from typing import ClassVar

import numpy as np
from pydantic import Field

from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.hole_site import BACK
from holdwright.geometry.measure.bridge import widest_bridge
from holdwright.geometry.measure.sections import Outlines, inside, outer, section, signed_area
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import (
    CORNER,
    ReliefRequest,
    above_pocket,
    cut_pocket,
    opens_into,
    pocket_outlines,
)
from holdwright.hold.cut_surfaces import back_holes, holes
from holdwright.hold.feature import BackPocket, Bore
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import in_cm2, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.parameters.kinds import Length, Parameters

USUAL = ReliefRequest()


class RelieveBackParameters(Parameters):
    """What stays of the back, and how deep the rest is cut. The widths are common practice, no source."""

    depth: Length = Field(USUAL.depth, gt=0.0, le=50.0, title="Depth")
    """Depth of the pocket, from the finished back."""
    land: Length = Field(USUAL.land, ge=1.0, le=500.0, title="Land")
    """Width of the land that stays along the outline."""
    bore_land: Length = Field(USUAL.bore_land, ge=0.0, le=500.0, title="Land round bores")
    """Width of the land round each bore; 0: none, since a land there takes most of the clamp to itself."""
    screw_land: Length = Field(USUAL.screw_land, ge=1.0, le=500.0, title="Land round screws")
    """How far the land round each wood screw goes beyond its head."""
    rib_spacing: Length = Field(USUAL.rib_spacing, ge=0.0, le=500.0, title="Rib spacing")
    """Clear width between ribs across the pocket, as far as a printer is to bridge; 0: no ribs. They touch
    the wall too, which costs some of the gain."""
    rib_width: Length = Field(USUAL.rib_width, ge=0.4, le=100.0, title="Rib width")
    """Width of each rib."""

    @property
    def request(self) -> ReliefRequest:
        """The same, for geometry."""
        return ReliefRequest(**self.model_dump())


class RelieveBack(Operation[RelieveBackParameters]):
    """It comes after bores and screw holes, so that it knows them wherever they were found to go."""

    name: ClassVar[str] = "relieve_back"
    title: ClassVar[str] = "Relieve back"
    summary: ClassVar[str] = "Cuts a shallow pocket into the back, so that its outline presses on the wall."
    order: ClassVar[int] = 69
    parameters = RelieveBackParameters

    def apply(self, hold: Hold, parameters: RelieveBackParameters, run: Run) -> Outcome:
        """Cut the pocket; see `Operation.apply`.

        Raises
        ------
        ParameterError
            When the hold has no true size, ribs stand too close, or the pocket reaches a seat.
        GeometryError
            When there is no back.
        """
        whole = hold.whole
        hold.check_size("A land in millimetres was requested")
        _check(parameters, hold)
        back = section(whole, BACK)
        if not back:
            raise GeometryError("The hold has no flat back on z = 0 to relieve; trim its back first.")
        run.progress.report(0.1, "Drawing the pocket")
        pocket = pocket_outlines(back, back_holes(hold.features), parameters.request)
        if not pocket:
            widest = max(map(signed_area, back))
            finding = new_finding("nothing_to_relieve", parameters.land, area=in_cm2(widest))
            return Outcome(hold, (finding,), "nothing relieved")
        run.progress.report(0.3, "Cutting the pocket")
        relieved = cut_pocket(whole, pocket, parameters.depth)
        made = BackPocket.of(pocket, parameters.request)
        run.progress.report(0.7, "Measuring the pocket")
        bores = [bore.over(made) for bore in hold.find(Bore)]
        findings = [
            *_lands(back, made),
            *_thin(whole, hold, made),
            *_thin_seats(hold, made),
            *_air(hold, made),
        ]
        seated = iter(bores)
        features = (next(seated) if isinstance(each, Bore) else each for each in hold.features)
        after = replace(hold, features=tuple(features)).with_whole(relieved, made)
        share = made.area / sum(map(signed_area, back))
        result = f"{in_cm2(made.area)} relieved, {share:.0%} of the back, {made.depth:g} mm deep"
        return Outcome(after, tuple(findings), result)


def _check(parameters: RelieveBackParameters, hold: Hold) -> None:
    if 0.0 < parameters.rib_spacing < 2.0 * CORNER:
        raise ParameterError(
            f"Ribs {parameters.rib_spacing:g} mm apart were requested, but a pocket between them is at least "
            f"{2.0 * CORNER:g} mm wide; set them farther apart, or 0 for none."
        )
    lowest = min((each.seat_z for each in hold.find(Bore)), default=np.inf)
    if parameters.depth >= lowest:
        raise ParameterError(
            f"A pocket {parameters.depth:g} mm deep was requested, but a bolt's seat lies {lowest:.1f} mm "
            "above the back; make the pocket shallower."
        )


def _lands(back: Outlines, pocket: BackPocket) -> list[Finding]:
    """Report outlines of the back that the lands leave nothing of."""
    starts = np.array([outline[0] for outline in pocket.drawn])
    outlines = outer(back)
    left = [outline for outline in outlines if not inside(starts, [outline]).any()]
    if not left:
        return []
    where = (*left[0].mean(axis=0), 0.0)
    return [new_finding("outline_not_relieved", len(left), len(outlines), where, land=pocket.land)]


def _thin(whole: Solid, hold: Hold, pocket: BackPocket) -> list[Finding]:
    """Report where little material is left above the pocket, and where there is none; bores apart."""
    least, bare = above_pocket(whole, pocket.drawn, pocket.depth, holes(hold.features))
    if bare.value > 0.0:
        return [new_finding("pocket_breaks_through", bare.value, where=bare.place, area=in_cm2(bare.value))]
    if least.value < limit_of("thin_above_pocket"):
        return [new_finding("thin_above_pocket", least.value, where=least.place)]
    return []


def _thin_seats(hold: Hold, pocket: BackPocket) -> list[Finding]:
    """Report seats that the pocket leaves little under."""
    limit = limit_of("thin_above_pocket:seat")
    return [
        new_finding(
            "thin_above_pocket:seat", after.thickness_under_seat, where=before.hole.on_axis(before.seat)
        )
        for before in hold.find(Bore)
        if (after := before.over(pocket)) is not before and after.thickness_under_seat < limit
    ]


def _air(hold: Hold, pocket: BackPocket) -> list[Finding]:
    """Report what is printed over air when the hold lies on its back."""
    span, place = widest_bridge(pocket.drawn)
    advice = "" if span <= limit_of("pocket_bridges") else None
    findings = [new_finding("pocket_bridges", span, where=(*place, pocket.depth), advice=advice)]
    hanging = [bore for bore in hold.find(Bore) if opens_into(pocket.drawn, bore.hole)]
    if hanging:
        findings.append(new_finding("bore_in_pocket", float(len(hanging)), where=hanging[0].hole.foot))
    return findings
