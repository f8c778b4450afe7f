"""What is wrong on a wall: at one hold, between two, and with the reach from hold to hold."""

from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.outline_clearance import clearance_between, inside
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.finding_rank import ranked
from holdwright.wall.hung import Hung
from holdwright.wall.t_nut_grid import seams, t_nuts
from holdwright.wall.wall_file import ClimbingWall

SCREW: Final = 6.0
"""What a wood screw needs besides a T-nut's flange, mm (common practice, no source)."""


Known = dict[tuple[Hung, ...], tuple[Finding, ...]]
"""What was found at a hold, or at two beside each other."""


def wall_findings(wall: ClimbingWall, holds: Sequence[Hung], known: Known | None = None) -> list[Finding]:
    """Look at every hold, at every pair, and at how far neighbours are from each other; the gravest first.

    Parameters
    ----------
    known
        What was found on the same wall before, which is not looked for again; it is brought up to date.
    """
    before, now = known or {}, Known()
    places = np.array(list(t_nuts(wall).values())).reshape(-1, 2)
    for number, one in enumerate(holds):
        now[one,] = before[one,] if (one,) in before else tuple(findings_alone(one, wall, places))
        for other in holds[:number]:
            pair = one, other
            now[pair] = before[pair] if pair in before else tuple(findings_beside(one, [other], wall))
    if known is not None:
        known.clear()
        known.update(now)
    found = [each for some in now.values() for each in some]
    at = np.array([one.at for one in holds]).reshape(-1, 2)
    for number, one in enumerate(holds):
        far = np.linalg.norm(np.delete(at, number, axis=0) - one.at, axis=1)
        if far.size and far.min() > wall.margins.reach:
            found.append(_of("out_of_reach", one, float(far.min()), wall.margins.reach))
    return ranked(found, lambda each: each)


def findings_alone(one: Hung, wall: ClimbingWall, places: Floats) -> Iterator[Finding]:
    """Look at a hold by itself; `places` (n, 2) are the wall's T-nuts."""
    panels, hold = wall.panels, one.hold
    whole = np.array([panels.columns * panels.width, panels.rows * panels.height])
    beyond = float(max((-one.outline).max(), (one.outline - whole).max()))
    if beyond > 0.0:
        yield _of("beyond_wall", one, beyond, 0.0)
    if not hold.bores:
        yield _of("no_bore", one)
    for bore in one.bores[1:]:
        off = _nearest(places, bore)
        if off > hold.play:
            yield _of("bore_off_t_nut", one, off, hold.play)
    short = panels.thickness - hold.panel - hold.spare
    if hold.panel and short > 0.0:
        yield _of("bolt_short", one, short, 0.0, panel=panels.thickness, chosen=hold.panel)
    yield from _screws(one, wall, places)
    if hold.one_way_up and one.turn % 360.0:
        yield _of("turned_on_wall", one, one.turn, 0.0)


def _screws(one: Hung, wall: ClimbingWall, places: Floats) -> Iterator[Finding]:
    needed = wall.t_nuts.flange / 2.0 + SCREW
    for screw in one.screws:
        pairs = zip(seams(wall), screw, strict=True)
        edge = min(float(np.abs(np.array(lines) - at).min()) for lines, at in pairs)
        if edge < wall.margins.seam:
            yield _of("screw_near_seam", one, edge, wall.margins.seam)
        clear = _nearest(places, screw)
        if clear < needed:
            yield _of("screw_on_t_nut", one, clear, needed)


def findings_beside(one: Hung, others: Sequence[Hung], wall: ClimbingWall) -> Iterator[Finding]:
    """Look at a hold among others."""
    for other in others:
        if one.t_nut == other.t_nut:
            yield _of("same_t_nut", one, other=other.name)
            continue
        apart = float(np.linalg.norm(np.subtract(one.at, other.at)))
        # Outlines are no nearer than their boxes, which is found a hundred times as fast.
        clear = _between(one.box, other.box)
        if clear <= wall.margins.between:
            clear = clearance_between(one.outline, other.outline)
        if clear <= 0.0:
            yield _of("holds_overlap", one, other=other.name)
            continue
        if clear < wall.margins.between:
            yield _of("holds_near", one, clear, wall.margins.between, other=other.name)
        elif apart < wall.margins.nearest:
            yield _of("bolts_near", one, apart, wall.margins.nearest, other=other.name)
        for first, second in ((one, other), (other, one)):
            boxed = (first.box[0] <= second.at).all() and (first.box[1] >= second.at).all()
            if boxed and inside(first.outline, np.array([second.at]))[0]:
                yield _of("covers_t_nut", first, other=second.name)


def _between(one: Floats, other: Floats) -> float:
    """Give the distance of two boxes (2, 2); 0 where they meet."""
    apart = np.maximum(one[0] - other[1], other[0] - one[1])
    return float(np.linalg.norm(np.maximum(apart, 0.0)))


def _of(
    code: str, one: Hung, measured: float | None = None, limit: float | None = None, **figures: str | float
) -> Finding:
    words: dict[str, Any] = {"name": one.name, **figures}
    return new_finding(code, measured, limit, (*one.at, 0.0), **words)


def _nearest(places: Floats, point: Floats) -> float:
    return float(np.linalg.norm(places - point, axis=1).min()) if len(places) else float("inf")
