"""Where on its back a hold is best bored, and why: the margins all over it and the best places."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.grip import HoldSurface
from holdwright.geometry.place import Place, PlaceField, survey
from holdwright.geometry.sculpt import Floats
from holdwright.geometry.sections import section
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.hold.holes import hole_columns
from holdwright.joint.bearing import seat_area
from holdwright.joint.conditions import Conditions
from holdwright.joint.contact import HEIGHT
from holdwright.joint.place_standards import Clamp, Standing, holding_standards
from holdwright.joint.place_words import reason
from holdwright.joint.preload import preload, preloads, residual_share
from holdwright.operations.bore_plan import BorePlan
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.bench import Bench
from holdwright.progress import SILENT, Progress

COUNT = 3
"""Places that are given."""
NO_GOOD = 0.05
"""Second and third places of no more margin are not told."""


@dataclass(frozen=True)
class PlacesAsked:
    """Which bore is to be placed.

    Attributes
    ----------
    step, parameters
        Id of the step that bores, and its parameters.
    before, key
        Id of the step before it, and the key of its result.
    wanted
        What the joint is reckoned for.
    present
        (x, y) of the bore as it is, mm; None where there is none.
    """

    step: str
    parameters: CutBoreParameters
    before: str
    key: str
    wanted: Conditions
    present: tuple[float, float] | None = None


@dataclass(frozen=True)
class FoundPlace:
    """A place for the bore, with the safeties there and a sentence that tells why it is good or not."""

    place: Place
    spin: float
    lift: float
    reason: str


@dataclass(frozen=True, eq=False)
class PlaceView:
    """The back of a hold as a bore sees it.

    Attributes
    ----------
    field
        The margins over it.
    outlines
        Of the back, (n, 2) in mm.
    best
        Best first, at most `COUNT`.
    present
        The bore as it is, judged likewise.
    pocket
        Diameter of its pocket, mm.
    """

    field: PlaceField
    outlines: tuple[Floats, ...]
    best: tuple[FoundPlace, ...]
    present: FoundPlace | None
    pocket: float


def view_places(bench: Bench, asked: PlacesAsked) -> PlaceView:
    """Look for the best places of a step's bore.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it; or when the hold has no back, or the step bores in a way
        that is not looked for here.
    Cancelled
        When that is asked for.
    """
    bench.progress.report(0.0, "looking for the place of the bore")
    hold = bench.hold(asked.before, asked.key, bench.progress.part(0.0, 0.4))
    rest = bench.progress.part(0.4, 1.0)
    return places_of(hold, asked.parameters, asked.wanted, load_catalogue(), asked.present, rest)


def places_of(
    hold: Hold,
    parameters: CutBoreParameters,
    wanted: Conditions,
    catalogue: Catalogue,
    present: tuple[float, float] | None = None,
    progress: Progress = SILENT,
) -> PlaceView:
    """Look for the best places of a bore in the hold as it is before; errors as of `view_places`."""
    if parameters.count > 1 or parameters.tilt > 0.0:
        raise ParameterError(
            "Best places were asked for, but they are told for one bore square to the wall; leave the "
            "place of a row of bores, or of a leaning one, to the step."
        )
    plan = BorePlan.of(parameters, catalogue)
    there = hold.find(Bore)
    standing = _standing(hold, plan, wanted, tuple((bore.x, bore.y) for bore in there))
    geometric = plan.wanted(there)
    holding = holding_standards(standing, geometric.edge)
    progress.report(0.2, "looking for the place of the bore")
    found = survey(
        hold.whole,
        replace(geometric, further=holding.standards),
        COUNT,
        () if present is None else (present,),
        progress.part(0.2, 1.0),
    )

    def told(place: Place) -> FoundPlace:
        at = np.array([[place.x, place.y]])
        spin, lift = float(standing.spin(at)[0]), float(standing.lift(at)[0])
        return FoundPlace(place, spin, lift, reason(place, geometric, {"spin": spin, "lift": lift}, holding))

    return PlaceView(
        field=found.field,
        outlines=tuple(section(hold.whole, HEIGHT)),
        best=tuple(told(place) for place in found.best if place.margin > NO_GOOD or place is found.best[0]),
        present=told(found.asked[0]) if found.asked else None,
        pocket=geometric.pocket_diameter,
    )


def plain_places(view: PlaceView) -> dict[str, Any]:
    """Give places as plain JSON values: margins and ratios are figures by what is asked."""

    def plain(found: FoundPlace) -> dict[str, Any]:
        place = found.place
        return {
            "at_mm": [round(place.x, 3), round(place.y, 3)],
            "margin": round(place.margin, 4),
            "limited_by": place.limited_by,
            "ratios": {limit: round(ratio, 4) for limit, ratio in place.ratios.items()},
            "spin_safety": round(found.spin, 4),
            "lift_safety": round(found.lift, 4),
            "reason": found.reason,
        }

    return {
        "best": [plain(found) for found in view.best],
        "present": plain(view.present) if view.present is not None else None,
    }


def _standing(
    hold: Hold, plan: BorePlan, wanted: Conditions, others: tuple[tuple[float, float], ...]
) -> Standing:
    """Say how the hold would stay put with its bolt tightened as wanted."""
    screw, washer = wanted.screw or plan.hardware.screw, wanted.washer or plan.hardware.washer
    washer = None if wanted.bare else washer
    area = seat_area(screw, washer, plan.shape.clearance_diameter)
    if area <= 0.0:
        raise ParameterError(
            f"'{(washer or screw).name}' was asked for, but it falls into the hole of "
            f"{plan.shape.clearance_diameter:g} mm; choose a wider washer."
        )
    creep = wanted.material.creep.residual_preload if wanted.material.creep else 1.0
    share = residual_share(creep, preload(wanted.torque, wanted.nut_factor.low, screw.d) / area)
    force = preloads(wanted.torque, wanted.nut_factor, screw.d, share).residual
    whole, rims = hold.whole, hold.find(Rim)
    rim = rims[-1].height if rims else 0.0
    if not section(whole, HEIGHT):
        raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its back first.")
    surface = HoldSurface(whole.vertices, whole.triangles, hole_columns(hold.features), rim)
    grip = whole.vertices[np.concatenate(surface.grip())]
    return Standing(whole, grip, rim, Clamp(force, wanted.friction.low, wanted.load, others))
