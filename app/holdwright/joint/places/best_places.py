"""Where on its back a hold is best bored: by its shape and by how well it would stay put, together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Screw, Washer
from holdwright.geometry.hole.bore_places import (
    PULL,
    BoreCriteria,
    Criterion,
    Place,
    PlaceField,
    Rated,
    worth,
)
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import edge_distance
from holdwright.geometry.hole.place_figures import LIMITS, BoreRequirements, Limit
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import Conditions, carrying_area, t_nut_for
from holdwright.joint.fasteners.bearing import pressing_diameter
from holdwright.joint.holding.cone_reach import reach_of
from holdwright.joint.holding.contact import back_outlines
from holdwright.joint.holding.joint_shape import loads_on_hold
from holdwright.joint.holding.loads import Loads
from holdwright.joint.holding.pressure import ClampCone
from holdwright.joint.places.holding_criteria import ENOUGH, Standing, holding_criteria
from holdwright.progress import SILENT, Progress

COUNT = 3
"""Places that are searched; where the best alone is needed, those that may turn out to be it."""
CLEARLY = 1.0
"""What grid and exact rating, of which PULL is a part, may differ by together: several times what they do."""
NO_GOOD = 0.5
"""Second and third places with less than this of what is required of the shape are left out: the step that
bores calls that an error."""
DECEIVING = 0.9
"""A place with less than this share of its margin when it is measured is not what the search took it for."""
NAMES: Mapping[Limit, str] = {
    "thickness": "the thickness there is for a seat",
    "wall_at_bore": "the wall round the bore",
    "wall_at_pocket": "the wall round the pocket",
    "wall_above": "the wall round the pocket's upper end",
    "edge": "the distance from the edge of the back",
    "access": "the way in for head and washer",
    "spin": "what keeps it from turning",
    "lift": "what keeps its edges from lifting",
}

OPEN = 500.0
"""Longer lengths are left out, mm: no wall is near."""


@dataclass(frozen=True)
class FoundPlace(Rated):
    """A place for the bore, with the safeties there and a sentence that says why it is good or not."""

    place: Place
    spin: float
    lift: float
    ratios: Mapping[Limit, float]
    """Each figure relative to what is required, least first: of safeties, 1. The place's own are relative to
    what this back attains, as it was searched by."""
    reason: str


@dataclass(frozen=True, eq=False)
class FoundPlaces:
    """The margins over a back, of safeties against 1, its best places, and the bore as it is, rated likewise.

    `best` holds at most `COUNT`, best first; after the first only what the shape allows and where friction
    holds at all. Each's sentence says how well the hold would stay put there.
    """

    field: PlaceField
    best: tuple[FoundPlace, ...]
    present: FoundPlace | None
    loads: Loads
    """Where the hold can be loaded before it is bored, mm."""


def search_places(
    hold: Hold,
    bore: BoreRequirements,
    hardware: tuple[Screw, Washer | None],
    conditions: Conditions,
    catalogue: Catalogue,
    present: tuple[float, float] | None = None,
    progress: Progress = SILENT,
    *,
    alone: bool = False,
) -> FoundPlaces:
    """Look for the best places of one round bore square to the wall.

    Parameters
    ----------
    hold
        Before it is bored, finished back on z = 0, mm.
    bore
        What is required of the shape round it; bolts in existing bores are tightened alike.
    hardware
        What the bore is cut for; what is to be tried in its place stands in `conditions`.
    present
        (x, y) of the bore as it is, to be rated besides, mm.
    alone
        Whether the best place alone is needed: others that cannot be it may be left out.

    Raises
    ------
    ParameterError
        When the hardware to be tried does not stay out of the hole, or no T-nut has its thread.
    GeometryError
        When the hold has no back on z = 0.
    Cancelled
        When that is requested.
    """
    by_shape = BoreCriteria.of(hold.whole, bore)
    progress.report(0.2, "looking for the place of the bore")
    loads = loads_on_hold(hold, hold.whole)
    standing = _standing(hold, by_shape, loads, hardware, conditions, catalogue)
    progress.report(0.4, "looking for the place of the bore")
    criteria = replace(by_shape, further=holding_criteria(standing, *by_shape.base_margins))
    progress.report(0.7, "looking for the best places")

    def rated(place: Place) -> FoundPlace:
        at = np.array([[place.x, place.y]])
        spin, lift = float(standing.spin(at)[0]), float(standing.lift(at)[0])
        safeties: dict[Limit, float] = {"spin": spin, "lift": lift}
        met = {**place.ratios, **{name: value / ENOUGH for name, value in safeties.items()}}
        ratios = {limit: met[limit] for limit in sorted(met, key=lambda limit: met[limit])}
        return FoundPlace(place, spin, lift, ratios, _reason(place, ratios, bore, safeties))

    best = _best(criteria, by_shape, _measuring(hold.whole, bore), progress.part(0.7, 1.0), alone=alone)
    best = tuple(
        place for place in best if place is best[0] or min(place.ratios[limit] for limit in LIMITS) >= NO_GOOD
    )
    at_present = None if present is None else rated(criteria.place(*present))
    found = [rated(place) for place in best]
    holding = [each for each in found[1:] if each.spin > 0.0 and each.lift > 0.0]
    shown = criteria if alone else replace(by_shape, further=_as_required(standing))
    return FoundPlaces(shown.field, (found[0], *holding), at_present, loads)


def _as_required(standing: Standing) -> tuple[Criterion, ...]:
    """Give the safeties by what is required, whatever this back attains: no place looks better than it is."""
    return Criterion("spin", standing.spin, ENOUGH), Criterion("lift", standing.lift, ENOUGH)


def _measuring(whole: Solid, bore: BoreRequirements) -> Callable[[Place], float]:
    """Give what measures a place as the bore itself is: the search, from level to level, may miss a ledge."""

    @cache
    def margin_at(x: float, y: float) -> float:
        edge, hole = edge_distance(whole, x, y), replace(bore.hole, x=x, y=y)
        figures = BoreFigures.of(whole, hole, bore.rule, edge, bore.thickness)
        return min(least.value / limit for least, limit in figures.limits(bore))

    return lambda place: margin_at(round(place.x, 2), round(place.y, 2))  # as the recipe will have it


def _best(
    criteria: BoreCriteria,
    by_shape: BoreCriteria,
    measured: Callable[[Place], float],
    progress: Progress,
    *,
    alone: bool,
) -> tuple[Place, ...]:
    """Give the best places as `measured` has them; `alone` as of `search_places`."""
    least = criteria.highest - CLEARLY if alone else -np.inf
    best = criteria.best(COUNT, progress, least)
    first = measured(best[0])
    if first >= min(1.0, DECEIVING * best[0].margin):
        return best
    # To come before it a place must have a greater margin, or be good enough by its shape alone.
    least = float(worth(min(first, NO_GOOD), 0.0)) - PULL - CLEARLY if alone else -np.inf
    best = criteria.best(COUNT, least=least if first >= NO_GOOD else -np.inf, known=best)
    others = [criteria.place(place.x, place.y) for place in by_shape.best(COUNT, least=least)]
    return _best_of([(place, measured(place)) for place in (*best, *others)], criteria.apart)


def _best_of(measured: Sequence[tuple[Place, float]], apart: float) -> tuple[Place, ...]:
    """Give the best of places and their margins; those with under half of what is required come last."""
    chosen: list[Place] = []
    for place, _ in sorted(
        measured, key=lambda each: (each[1] >= NO_GOOD, min(each[0].margin, each[1])), reverse=True
    ):
        if all(np.hypot(place.x - one.x, place.y - one.y) >= apart for one in chosen):
            chosen.append(place)
    return tuple(chosen[:COUNT])


def _standing(
    hold: Hold,
    by_shape: BoreCriteria,
    loads: Loads,
    hardware: tuple[Screw, Washer | None],
    conditions: Conditions,
    catalogue: Catalogue,
) -> Standing:
    """Say what holds the hold with each bolt tightened as requested."""
    bore = by_shape.bore
    screw, washer = conditions.tried(*hardware)
    area = carrying_area(screw, washer, bore.hole.clearance_diameter)
    wall = conditions.wall_round(t_nut_for(screw, conditions, catalogue))
    return Standing(
        back_outlines(hold.whole),
        conditions.mounted(loads),
        conditions.preload(screw, area).residual.likely,
        conditions.friction.nominal,
        conditions.load,
        by_shape.seats_at,
        pressing_diameter(screw, washer),
        bore.hole.clearance_diameter,
        tuple(
            ClampCone(
                *hole.foot[:2],
                reach_of(hole.seat, hole.pocket_diameter, hole.clearance_diameter, wall),
                hole.clearance_diameter / 2.0,
                hole.pocket_diameter / 2.0,
            )
            for hole in bore.taken
        ),
        wall,
    )


def _reason(
    place: Place, ratios: Mapping[Limit, float], bore: BoreRequirements, safeties: Mapping[Limit, float]
) -> str:
    """Say what limits a place and what comes next."""
    (least, ratio), (second, next_ratio) = list(ratios.items())[:2]
    if least in safeties:
        first = f"a safety of {ratio:.2f} where {ENOUGH:g} is required"
    else:
        first = f"{_figure(place, bore, least)}{_of_required(ratio)}"
    after = f"a safety of {next_ratio:.2f}" if second in safeties else _of_required(next_ratio)
    return f"Here the least margin is {NAMES[least]}: {first}; next comes {NAMES[second]}, {after}."


def _of_required(ratio: float) -> str:
    return f"{ratio:.1f} times what is required" if ratio >= 1.0 else f"{ratio:.2f} of what is required"


def _figure(place: Place, bore: BoreRequirements, limit: Limit) -> str:
    if limit == "access":
        return "a lip overhangs it, " if place.values["access"] < bore.hole.pocket_radius else ""
    length = place.values[limit]
    return f"{length:.1f} mm, " if length < OPEN else ""
