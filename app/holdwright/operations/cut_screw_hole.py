"""Cut a countersunk hole for a wood screw that stops the hold from turning on its bolt."""

import math
from collections.abc import Mapping
from itertools import islice
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.catalogue.anchorage import WoodScrew
from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.core.core_fit import COLUMN_TO_POCKET
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.hole_figures import ScrewFigures
from holdwright.geometry.hole.hole_site import edge_distance
from holdwright.geometry.hole.place_search import best_places
from holdwright.geometry.hole.screw_places import ScrewCriteria, ScrewRequirements, Surroundings
from holdwright.geometry.hole.seat import screw_seated, screw_site, under_head
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.feature import Bore, ScrewHole, TipCut
from holdwright.hold.finding import Point
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run, Upgrade
from holdwright.operations.hole_findings import screw_findings
from holdwright.operations.hole_step import (
    HoleOperation,
    PlaceBy,
    PlaceByHand,
    Revised,
    SeatedHole,
    amount,
    direction,
    elsewhere,
    must_be_on_back,
    size,
)
from holdwright.parameters.kinds import Angle, ChoiceTexts, Direction, Length, Parameters, Relevant, Rows

SOUND = 1.0 - 1e-3
"""Least share of what is required at which a place is kept."""
TRIED = 5
"""Places that are measured exactly before the best of them is taken as it is."""


class CutScrewHoleParameters(Parameters):
    """What the screw is, where it goes and how it leans. The limits are common practice, no source."""

    screw: Annotated[str, Rows("wood_screws")] = Field("5 mm countersunk wood screw", title="Wood screw")
    """The wood screw, by its name in the catalogue."""
    hole_allowance: Length = amount(0.0, "Hole allowance", most=2.0)
    """Added to both diameters: printed holes come out 0.1 to 0.4 mm narrow."""
    place: PlaceBy = "found"
    """Automatic: as far from the bolt as material, edge, grip and the driver allow. By hand: a place of your
    own, typed, picked or dragged."""
    revised: Revised = "keep"
    """Keep while sound: on a revised sculpt the screw stays where it was found on the one before, as long as
    all is as required there."""
    at: PlaceByHand = (0.0, 0.0)
    """Where the axis meets the finished back."""
    no_room: Annotated[
        Literal["cut", "leave out"],
        ChoiceTexts(("cut at the best", "leave out")),
        Relevant("place", ("found",)),
    ] = Field("cut", title="Without a sound place")
    """What is done where no place is as required: the best there is is taken, or no hole is cut."""
    tilt: Angle = amount(0.0, "Tilt", most=45.0)
    """How far the axis leans off the wall's normal."""
    toward: Direction = direction("Leans toward", "Where the head leans to")
    head_below: Length = amount(0.5, "Head below", most=100.0)
    """How far the countersink lies below the lowest surface over it, at least."""
    under_head: Length = size(6.0, "Least under head")
    """Required thickness between countersink and wall."""
    at_most: Length = size(40.0, "At most under head")
    """The head goes deeper where more would be left under it, so that the screw stays short."""
    wall: Length = size(6.0, "Wall")
    """Required wall round the hole, and between it and bores, other screws and cut tips."""
    edge: Length = size(12.0, "Edge distance")
    """Required distance from the axis to the edge of the back."""
    driver: Length = size(12.0, "Room for the driver", most=100.0)
    """Diameter that is to be free along the axis, above the head."""


class CutScrewHole(HoleOperation[CutScrewHoleParameters]):
    """A hold may have several: one step for each."""

    name = "cut_screw_hole"
    title = "Cut screw hole"
    summary = "Cuts a countersunk hole for a wood screw that stops the hold from turning on its bolt."
    order = 65
    version: ClassVar[int] = 2
    repeatable = True
    # Version 1 searched anew on every sculpt, and no recipe remembered a place.
    upgrades: ClassVar[Mapping[int, Upgrade]] = {1: dict}
    parameters = CutScrewHoleParameters

    def apply(self, hold: Hold, parameters: CutScrewHoleParameters, run: Run) -> Outcome:
        """Cut the hole; see `Operation.apply`.

        Raises
        ------
        ParameterError
            When the hold has no true size, or the requested place is off the back.
        GeometryError
            When there is no back, or no room for a countersink.
        """
        whole = hold.whole
        if not hold.sized:
            raise ParameterError(
                "A wood screw in millimetres was requested, but the hold has no true size yet; "
                "scale it before this step."
            )
        screw = look_up(run.catalogue.wood_screws, parameters.screw, "wood screw")
        around, required = _surroundings(hold), _required(parameters, screw)
        run.progress.report(0.1, "measuring the place of the screw")
        before = run.before[0] if run.before else None
        kept = _kept(around, required, before) if parameters.revised == "keep" else None
        if parameters.place == "found":
            with run.stopwatch.searching("place of the screw"):
                found = kept or _found(around, required, run)
            if parameters.no_room == "leave out" and (found is None or found.margin < 1.0):
                return Outcome(hold, (new_finding("screw_left_out"),), "left out, no sound place")
            if found is None:
                raise GeometryError(
                    "No place on this hold is thick enough to sink the screw's head; take a smaller screw, "
                    "or give a place."
                )
            figures = found
        else:
            must_be_on_back(edge_distance(whole, *parameters.at), "a screw", *parameters.at)
            figures = ScrewFigures.of(around, required, *parameters.at)
        run.progress.report(0.6, "cutting the screw hole")
        cut = cut_hole(whole, figures.hole, figures.top)
        screw_hole = _feature(figures, screw, parameters.hole_allowance)
        findings = [*screw_findings(figures, cut, parameters.tilt)]
        if parameters.place == "found":
            lost = "not all is as required" if parameters.revised == "keep" else ""
            findings += elsewhere(before, figures.hole.x, figures.hole.y, lost, aside=kept is not None)
        solid = hold.with_whole(cut.solid, screw_hole)
        return Outcome(solid, tuple(findings), _result(around, screw_hole), kept=kept is not None)

    def preview(
        self, parameters: CutScrewHoleParameters, catalogue: Catalogue, x: float, y: float, surface: Mesh
    ) -> tuple[SeatedHole, ...]:
        """Seat the screw; see `HoleOperation.preview`. Without room for its head, its countersink is at 0."""
        screw = look_up(catalogue.wood_screws, parameters.screw, "wood screw")
        hole = _hole(parameters, screw, x, y)
        site = screw_site(surface, hole, hole.pocket_diameter)
        try:
            hole = screw_seated(site, parameters.head_below, parameters.at_most)
        except GeometryError:
            return (SeatedHole(hole, site, 0.0),)
        return (SeatedHole(hole, site, under_head(site, hole.seat).value),)

    def looks_back(self, parameters: CutScrewHoleParameters) -> bool:
        """Where its place is found, it matters where that was on the sculpt before."""
        return parameters.place == "found"

    def rows(self, parameters: CutScrewHoleParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's row."""
        return (look_up(catalogue.wood_screws, parameters.screw, "wood screw"),)


def _required(parameters: CutScrewHoleParameters, screw: WoodScrew) -> ScrewRequirements:
    if parameters.at_most < parameters.under_head:
        raise ParameterError(
            f"At most {parameters.at_most:g} mm under the head was requested, but at least "
            f"{parameters.under_head:g} mm; let the first be no less than the second."
        )
    hole = _hole(parameters, screw, *parameters.at)
    depth = parameters.head_below, parameters.at_most, parameters.under_head
    return ScrewRequirements(hole, *depth, parameters.wall, parameters.edge, parameters.driver)


def _hole(parameters: CutScrewHoleParameters, screw: WoodScrew, x: float, y: float) -> Hole:
    head = screw.mouth + parameters.hole_allowance
    sizes = screw.clearance + parameters.hole_allowance, head, head
    return Hole(x, y, 0.0, *sizes, lean(parameters.tilt, parameters.toward), screw.head_angle)


def _found(around: Surroundings, required: ScrewRequirements, run: Run) -> ScrewFigures | None:
    """Take the first place that is as required when measured exactly, else the one worth most, if any."""

    def stop() -> None:
        run.progress.report(0.2, "looking for the place of the screw")

    tried = []
    for place in islice(best_places(ScrewCriteria(around, required, stop)), TRIED):
        stop()
        near = ScrewFigures.near(around, required, place)
        if near is not None and near.margin >= 1.0:
            return near
        tried += [near] if near is not None else []
    return max(tried, key=lambda each: each.worth, default=None)


def _kept(around: Surroundings, required: ScrewRequirements, before: Point | None) -> ScrewFigures | None:
    """Leave the screw where it was on the sculpt before, or within a head of it; None if unsound there."""
    if before is None or edge_distance(around.solid, *before[:2]).value < 0.0:
        return None
    try:
        figures = ScrewFigures.of(around, required, *before[:2])
    except GeometryError:
        return None
    if figures.margin >= SOUND:
        return figures
    near = ScrewFigures.near(around, required, np.array(before[:2]))
    if near is None or near.margin < SOUND:
        return None
    away = math.hypot(near.hole.x - before[0], near.hole.y - before[1])
    return near if away <= required.hole.pocket_diameter else None


def _surroundings(hold: Hold) -> Surroundings:
    return Surroundings(
        hold.whole,
        tuple(bore.hole for bore in hold.find(Bore)),
        tuple(screw.hole for screw in hold.find(ScrewHole)),
        tuple((tip.place, tip.width / 2.0) for tip in hold.find(TipCut)),
        COLUMN_TO_POCKET,
    )


def _feature(figures: ScrewFigures, screw: WoodScrew, allowance: float) -> ScrewHole:
    hole = figures.hole
    return ScrewHole(
        x=hole.x,
        y=hole.y,
        axis=hole.axis,
        diameter=hole.clearance_diameter,
        head_diameter=hole.pocket_diameter,
        cone_angle=screw.head_angle,
        seat=hole.seat,
        thickness_under_head=figures.under_head.value,
        screw=screw.name,
        allowance=allowance,
    )


def _result(around: Surroundings, hole: ScrewHole) -> str:
    # How long a screw must be hangs on the panel: the joint card and the work sheet say it.
    lever = f"lever {around.lever(hole.x, hole.y):.0f} mm, " if around.bores else ""
    return (
        f"{lever}under head {hole.thickness_under_head:.1f} mm, at {hole.x + 0.0:.1f}, {hole.y + 0.0:.1f} mm"
    )
