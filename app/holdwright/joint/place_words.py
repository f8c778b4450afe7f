"""Why a place is good for a bore, in a sentence."""

from collections.abc import Mapping

from holdwright.geometry.hole.bore_search import Place
from holdwright.geometry.hole.place_criteria import Limit, Wanted
from holdwright.joint.place_standards import ATTAINED, ENOUGH, HoldingStandards

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
"""Longer lengths are not told: there is no wall in sight, mm."""


def reason(place: Place, wanted: Wanted, safeties: Mapping[Limit, float], holding: HoldingStandards) -> str:
    """Tell what limits a place and what comes next."""
    (least, ratio), (second, next_ratio) = list(place.ratios.items())[:2]
    said = f"Here the least margin is {NAMES[least]}: {_figure(place, wanted, least, safeties)}"
    said += (
        f"{_of_asked(ratio)}{_whence(least, holding)}; next comes {NAMES[second]}, {_of_asked(next_ratio)}."
    )
    return said


def _of_asked(ratio: float) -> str:
    return f"{ratio:.1f} times what is asked" if ratio >= 1.0 else f"{ratio:.2f} of what is asked"


def _whence(limit: Limit, holding: HoldingStandards) -> str:
    """Tell where less than a safety of 1 is asked for."""
    asked = holding.asked.get(limit)
    if asked is None or asked >= ENOUGH:
        return ""
    return f" (a safety of {asked:.2f}, {ATTAINED:.0%} of the best at a sound place of this back)"


def _figure(place: Place, wanted: Wanted, limit: Limit, safeties: Mapping[Limit, float]) -> str:
    if limit in safeties:
        return f"a safety of {safeties[limit]:.2f}, "
    if limit == "access":
        return "a lip overhangs it, " if place.values["access"] < wanted.pocket_diameter / 2 else ""
    length = place.values[limit]
    return f"{length:.1f} mm, " if length < OPEN else ""
