"""Where on its back a hold is best bored, and why: the margins all over it and the best places."""

from dataclasses import dataclass, replace
from typing import Any

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import HoldwrightError, ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_places import PlaceField
from holdwright.geometry.measure.sections import section
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.advice.ways_to_hold import ways_to_hold
from holdwright.joint.conditions import Conditions
from holdwright.joint.holding.contact import HEIGHT
from holdwright.joint.places.best_places import FoundPlace, search_places
from holdwright.operations.bore_plan import BorePlan
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT, Progress


@dataclass(frozen=True)
class PlacesRequest:
    """Which bore is to be placed."""

    step: str
    parameters: CutBoreParameters
    """step, parameters: id of the step that bores, and its parameters."""
    before: str
    key: str
    """before, key: id of the step before it, and the key of its result."""
    conditions: Conditions
    """What the joint is computed for."""
    present: tuple[float, float] | None = None
    """(x, y) of the bore as it is, mm; None where there is none."""


@dataclass(frozen=True, eq=False)
class PlaceView:
    """The back of a hold as a bore sees it."""

    field: PlaceField
    """The margins over it."""
    outlines: tuple[Floats, ...]
    """Of the back, (n, 2) in mm."""
    best: tuple[FoundPlace, ...]
    """Best first, as of `FoundPlaces`."""
    present: FoundPlace | None
    """The bore as it is, judged likewise."""
    pocket: float
    """Diameter of its pocket, mm."""


def view_places(context: WorkContext, request: PlacesRequest) -> PlaceView:
    """Look for the best places of a step's bore.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it; or when the hold has no back, or the step bores in a way
        that is not looked for here.
    Cancelled
        When that is requested.
    """
    context.progress.report(0.0, "looking for the place of the bore")
    hold = context.hold(request.before, request.key, context.progress.part(0.0, 0.4))
    rest = context.progress.part(0.4, 1.0)
    return places_of(hold, request.parameters, request.conditions, load_catalogue(), request.present, rest)


def places_of(
    hold: Hold,
    parameters: CutBoreParameters,
    conditions: Conditions,
    catalogue: Catalogue,
    present: tuple[float, float] | None = None,
    progress: Progress = SILENT,
) -> PlaceView:
    """Look for the best places of a bore in the hold as it is before; errors as of `view_places`."""
    plan = BorePlan.of(parameters, catalogue)
    if not plan.alone:
        raise ParameterError(
            "Best places were asked for, but they are told for one round bore square to the wall; leave the "
            "place of a row of bores, of a slot or of a leaning bore to the step."
        )
    bore, hardware = plan.requirements(hold.find(Bore)), (plan.screw, plan.washer)
    found = search_places(hold, bore, hardware, conditions, catalogue, present, progress.part(0.0, 0.9))
    bores = [_bored(plan, each) for each in found.best[:2]]
    try:
        ways = ways_to_hold(hold, bores[0], conditions, catalogue, *bores[1:], loads=found.loads)
    except HoldwrightError:  # the card says why, once it is bored there
        ways = ""
    best = replace(found.best[0], reason=f"{found.best[0].reason} {ways}".rstrip())
    return PlaceView(
        field=found.field,
        outlines=tuple(section(hold.whole, HEIGHT)),
        best=(best, *found.best[1:]),
        present=found.present,
        pocket=bore.hole.pocket_diameter,
    )


def _bored(plan: BorePlan, found: FoundPlace) -> Bore:
    """Give the bore that a place would have."""
    place, hole = found.place, plan.hole
    washer = plan.washer.name if plan.washer is not None else None
    sizes = hole.clearance_diameter, hole.pocket_diameter
    return Bore(
        place.x,
        place.y,
        (0.0, 0.0, 1.0),
        *sizes,
        place.seat,
        place.seat,
        plan.screw.name,
        washer,
        plan.screw.head.angle,
    )


def plain_places(view: PlaceView) -> dict[str, Any]:
    """Give places as plain JSON values: margins and ratios are figures by what is required."""

    def plain(found: FoundPlace) -> dict[str, Any]:
        place = found.place
        return {
            "at_mm": [round(place.x, 3), round(place.y, 3)],
            "margin": round(found.margin, 4),
            "limited_by": found.limited_by,
            "ratios": {limit: round(ratio, 4) for limit, ratio in found.ratios.items()},
            "spin_safety": round(found.spin, 4),
            "lift_safety": round(found.lift, 4),
            "reason": found.reason,
        }

    return {
        "best": [plain(found) for found in view.best],
        "present": plain(view.present) if view.present is not None else None,
    }
