"""Cut a countersunk hole for a wood screw that stops the hold from turning on its bolt."""

import math
from dataclasses import dataclass, replace
from itertools import islice
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.catalogue.anchorage import WoodScrew
from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.core.core_fit import COLUMN_TO_POCKET
from holdwright.geometry.hole.bore_check import edge_distance
from holdwright.geometry.hole.screw_check import ScrewFigures, climbed, measure_screw
from holdwright.geometry.hole.screw_hole import ScrewShape, cut_screw_hole
from holdwright.geometry.hole.screw_search import ScrewWanted, Spot, crowd_of, screw_places, worth
from holdwright.geometry.hole.screw_site import HeadRule, ScrewSite
from holdwright.geometry.measure.grip_surface import Column
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, ScrewHole, TipCut
from holdwright.hold.hold import Hold
from holdwright.hold.hole_columns import bore_column, screw_column
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.screw_findings import screw_findings
from holdwright.parameters.kinds import Angle, Length, Parameters, Position, Relevant, Rows

IN_WOOD = 12.0
"""Least length of a screw in the panel, mm. Common practice, no source."""

TRIED = 5
"""Places that are measured exactly before the best of them is taken as it is."""


class CutScrewHoleParameters(Parameters):
    """What the screw is, where it goes and how it leans. The limits are common practice, no source."""

    screw: Annotated[str, Rows("wood_screws")] = Field(
        "5 mm countersunk wood screw",
        title="Screw",
        description="The wood screw, by its name in the catalogue.",
    )
    hole_allowance: Length = Field(
        0.0,
        ge=0.0,
        le=2.0,
        title="Hole allowance",
        description="Added to both diameters: printed holes come out 0.1 to 0.4 mm narrow.",
    )
    place: Literal["found", "at"] = Field(
        "found",
        title="Place",
        description=(
            "Found: as far from the bolt as material, edge, grip and the driver allow. "
            "At: a place of your own, typed, picked or dragged."
        ),
    )
    at: Annotated[Position, Relevant("place", ("at",))] = Field(
        (0.0, 0.0), title="At", description="Where the axis meets the finished back."
    )
    tilt: Angle = Field(
        0.0, ge=0.0, le=45.0, title="Tilt", description="How far the axis leans off the wall's normal."
    )
    toward: Angle = Field(
        0.0,
        ge=-180.0,
        le=360.0,
        title="Leans toward",
        description="Where the head leans to, as seen from the front: 0 to the right, 90 up the wall.",
    )
    head_below: Length = Field(
        0.5,
        ge=0.0,
        le=100.0,
        title="Head below",
        description="How far the countersink lies below the lowest surface over it, at least.",
    )
    under_head: Length = Field(
        6.0,
        gt=0.0,
        le=500.0,
        title="Wanted under head",
        description="Wanted thickness between countersink and wall.",
    )
    at_most: Length = Field(
        40.0,
        gt=0.0,
        le=500.0,
        title="At most under head",
        description="The head goes deeper where more would be left under it, so that the screw stays short.",
    )
    wall: Length = Field(
        6.0,
        gt=0.0,
        le=500.0,
        title="Wall",
        description="Wanted wall round the hole, and between it and bores, other screws and cut tips.",
    )
    edge: Length = Field(
        12.0,
        gt=0.0,
        le=500.0,
        title="Edge distance",
        description="Wanted distance from the axis to the edge of the back.",
    )
    driver: Length = Field(
        12.0,
        gt=0.0,
        le=100.0,
        title="Room for the driver",
        description="Diameter that is to be free along the axis, above the head.",
    )


class CutScrewHole(Operation[CutScrewHoleParameters]):
    """A hold may have several: one step for each."""

    name: ClassVar[str] = "cut_screw_hole"
    title: ClassVar[str] = "Cut screw hole"
    summary: ClassVar[str] = (
        "Cuts a countersunk hole for a wood screw that stops the hold from turning on its bolt."
    )
    order: ClassVar[int] = 65
    repeatable: ClassVar[bool] = True
    parameters = CutScrewHoleParameters

    def apply(self, hold: Hold, parameters: CutScrewHoleParameters, run: Run) -> Outcome:
        """Cut the hole; see `Operation.apply`.

        Raises
        ------
        ParameterError
            When the hold has no true size, or the place asked for is off the back.
        GeometryError
            When there is no back, or no room for a countersink.
        """
        whole = hold.whole
        if not hold.sized:
            raise ParameterError(
                "A screw in millimetres was asked for, but the hold has no true size yet; "
                "scale it before this step."
            )
        screw = look_up(run.catalogue.wood_screws, parameters.screw, "wood screw")
        wanted = _wanted(parameters)
        shape = _shape(parameters, screw)
        run.progress.report(0.1, "measuring the place of the screw")
        if parameters.place == "found":
            with run.stopwatch.searching("place of the screw"):
                figures = _found(hold, shape, wanted, run)
        else:
            _must_be_on_base(whole, *parameters.at)
            figures = _Surroundings.of(hold).measured(shape, wanted)
        run.progress.report(0.6, "cutting the screw hole")
        cut = cut_screw_hole(whole, figures.shape, figures.top)
        made = _feature(figures, screw)
        findings = screw_findings(figures, cut, wanted, parameters.tilt)
        return Outcome(hold.with_whole(cut.solid, made), findings, _result(hold, made))

    def rows(self, parameters: CutScrewHoleParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's row."""
        return (look_up(catalogue.wood_screws, parameters.screw, "wood screw"),)


def _wanted(parameters: CutScrewHoleParameters) -> ScrewWanted:
    if parameters.at_most < parameters.under_head:
        raise ParameterError(
            f"At most {parameters.at_most:g} mm under the head was asked for, but at least "
            f"{parameters.under_head:g} mm; let the first be no less than the second."
        )
    return ScrewWanted(
        rule=HeadRule(parameters.head_below, parameters.at_most),
        under_head=parameters.under_head,
        wall=parameters.wall,
        edge=parameters.edge,
        driver=parameters.driver,
    )


def _shape(parameters: CutScrewHoleParameters, screw: WoodScrew) -> ScrewShape:
    x, y = parameters.at
    return ScrewShape(
        x,
        y,
        lean(parameters.tilt, parameters.toward),
        screw.clearance + parameters.hole_allowance,
        screw.mouth + parameters.hole_allowance,
        screw.head_angle,
    )


def _found(hold: Hold, shape: ScrewShape, wanted: ScrewWanted, run: Run) -> ScrewFigures:
    """Take the first place that is as wanted when measured exactly, else the one worth most."""
    surroundings = _Surroundings.of(hold)
    crowd = crowd_of(surroundings.bores, surroundings.screws, surroundings.tips, COLUMN_TO_POCKET)

    def stop() -> None:
        run.progress.report(0.2, "looking for the place of the screw")

    def worthy(figures: ScrewFigures) -> float:
        lever = np.hypot(figures.shape.x - crowd.middle[0], figures.shape.y - crowd.middle[1])
        return worth(float(lever), figures.margin(wanted))

    tried = []
    for place in islice(screw_places(hold.whole, shape, wanted, crowd, stop), TRIED):
        stop()
        near = climbed(place, lambda x, y: surroundings.measured(replace(shape, x=x, y=y), wanted), wanted)
        if near is not None and near.margin(wanted) >= 1.0:
            return near
        tried += [near] if near is not None else []
    if not tried:
        raise GeometryError(
            "No place on this hold is thick enough to sink the screw's head; take a smaller screw, or give a "
            "place."
        )
    return max(tried, key=worthy)


@dataclass(frozen=True)
class _Surroundings:
    """What of a hold a screw hole is measured against."""

    whole: Solid
    bores: tuple[Column, ...]
    screws: tuple[Column, ...]
    tips: tuple[Spot, ...]

    @classmethod
    def of(cls, hold: Hold) -> "_Surroundings":
        return cls(
            hold.whole,
            tuple(bore_column(bore) for bore in hold.find(Bore)),
            tuple(screw_column(hole) for hole in hold.find(ScrewHole)),
            tuple((tip.place, tip.width / 2.0) for tip in hold.find(TipCut)),
        )

    def measured(self, shape: ScrewShape, wanted: ScrewWanted) -> ScrewFigures:
        site = ScrewSite.of(self.whole, shape, wanted.driver)
        return measure_screw(self.whole, site, wanted, self.bores, self.screws, self.tips)


def _must_be_on_base(whole: Solid, x: float, y: float) -> None:
    edge = edge_distance(whole, x, y)
    if edge.value == float("-inf"):
        raise GeometryError("The hold has no flat back on z = 0 to set a screw in; trim its back first.")
    if edge.value < 0.0:
        raise ParameterError(
            f"A screw at {x:g}, {y:g} mm was asked for, but that is {-edge.value:.1f} mm off the back; the "
            f"nearest edge of the back is at {edge.place[0]:.1f}, {edge.place[1]:.1f} mm: stay within it."
        )


def _feature(figures: ScrewFigures, screw: WoodScrew) -> ScrewHole:
    shape = figures.shape
    return ScrewHole(
        x=shape.x,
        y=shape.y,
        axis=shape.axis,
        diameter=shape.hole_diameter,
        head_diameter=shape.head_diameter,
        cone_angle=shape.cone_angle,
        seat=shape.seat,
        thickness_under_head=figures.under_head.value,
        screw=screw.name,
    )


def _result(hold: Hold, hole: ScrewHole) -> str:
    text = (
        f"under head {hole.thickness_under_head:.1f} mm, at {hole.x + 0.0:.1f}, {hole.y + 0.0:.1f} mm, "
        f"screw from {_least_length(hole):.0f} mm long"
    )
    bores = hold.find(Bore)
    if not bores:
        return text
    middle = np.mean([(bore.x, bore.y) for bore in bores], axis=0)
    lever = float(np.hypot(hole.x - middle[0], hole.y - middle[1]))
    return f"lever {lever:.0f} mm, {text}"


def _least_length(hole: ScrewHole) -> float:
    """Length, head included, that brings a screw far enough into the panel, mm."""
    return math.ceil(hole.seat + hole.cone_height + IN_WOOD / hole.axis[2])
