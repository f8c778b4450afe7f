"""What deserves a look in a hold's strength: notes and warnings, never that it holds."""

from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.ranges import two_digits
from holdwright.strength.strength_result import LIMP, StrengthResult

_PERCENT = 100.0

_OUTWARD = 0.8
"""A load is told as off the wall where so much of it points there."""


def breaking_findings(result: StrengthResult) -> tuple[Finding, ...]:
    """Give the findings, places on the finished hold."""
    worst, found = result.worst, []
    told, way = worst.told, way_of(worst.direction)
    near, low = two_digits(told.likely), two_digits(told.low)
    if told.likely < worst.force:
        found.append(new_finding("breaks_early", told.likely, worst.force, worst.place, near=near, way=way))
    elif told.low < worst.force:
        found.append(
            new_finding("breaks_perhaps", told.likely, worst.force, worst.place, near=near, low=low, way=way)
        )
    limp = max(result.cases, key=lambda each: each.deflection)
    if limp.deflection > LIMP:
        found.append(new_finding("bends_much", limp.deflection, where=limp.loaded_at, force=limp.force))
    thin = _PERCENT * result.thin
    if thin > limit_of("thin_for_cells"):
        found.append(new_finding("thin_for_cells", thin, cell=result.cell))
    return tuple(found)


def way_of(direction: tuple[float, float, float]) -> str:
    """Say which way a load pulls, as seen from in front."""
    x, y, z = direction
    if z > _OUTWARD:
        return "off the wall"
    level = max(abs(x), abs(y))
    names = [
        name
        for name, part in (("up" if y > 0.0 else "down", abs(y)), ("right" if x > 0.0 else "left", abs(x)))
        if part > 0.4 * level
    ]
    if names[0] in ("left", "right"):
        return f"to the {names[0]}"
    return names[0] if len(names) == 1 else f"{names[0]} to the {names[1]}"
