"""Laying outlines out on as few beds as can be, by a library that packs irregular shapes.

The library (spyrrow, MIT; Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot 2D nesting
research", arXiv 2509.13329, from memory) packs a strip as short as it can; a bed is a strip of given length.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import spyrrow

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.bed_fit import turn_to_fit

TURNS: Final = tuple(float(turn) for turn in range(0, 360, 15))
"""Turns that are tried, degrees: only fifteen apart, which packs outlines of holds as well as any."""

FULLEST: Final = 0.92
"""Share of a bed that is never passed, so that fuller ones are not tried."""


TRIES: Final = 6
"""Outlines tried on a bed after the first that did not fit."""


@dataclass(frozen=True)
class Packing:
    """How a bed is found."""

    bed: tuple[float, float]
    """Width and depth, mm."""
    margin: float = 5.0
    """Kept free along the bed's edges, mm."""
    gap: float = 6.0
    """Between outlines, mm: room for a brim and a finger. Both common practice, no source."""
    seconds: float = 1.0
    """Spent on one try."""


@dataclass(frozen=True)
class PackedOutline:
    """An outline on a bed."""

    name: str
    turn: float
    """Degrees about the outline's own origin, counter-clockwise."""
    shift: tuple[float, float]
    """Added after the turn, mm."""

    def moved(self, outline: Floats) -> Floats:
        """Give the outline (n, 2) where it lies on the bed."""
        angle = np.radians(self.turn)
        cos, sin = np.cos(angle), np.sin(angle)
        return np.asarray(outline @ np.array([[cos, sin], [-sin, cos]]) + self.shift)


@dataclass(frozen=True)
class PackedBed:
    """What one print takes."""

    placed: tuple[PackedOutline, ...]
    density: float
    """Share of the bed that outlines cover."""


@dataclass(frozen=True)
class Packed:
    """All beds, and what fits on none."""

    beds: tuple[PackedBed, ...]
    too_large: tuple[str, ...]


def pack(outlines: Mapping[str, Floats], counts: Mapping[str, int], packing: Packing) -> Packed:
    """Pack outlines (n, 2), mm, each as often as its count, on as few beds as are found.

    Notes
    -----
    Large ones first; each bed takes as many of the next as it holds, found by halving, and then others that
    still fit.
    """
    width, depth = (side - 2.0 * packing.margin for side in packing.bed)
    too_large = tuple(
        name for name, each in outlines.items() if turn_to_fit(each, (width, depth)).spare < 0.0
    )
    areas = {name: area(each) for name, each in outlines.items()}
    names = sorted((name for name in outlines if name not in too_large), key=lambda name: -areas[name])
    waiting = [name for name in names for _ in range(counts[name])]
    beds: list[PackedBed] = []
    while waiting:
        placed = _filled(waiting, outlines, areas, packing)
        covered = sum(areas[each.name] for each in placed) / (packing.bed[0] * packing.bed[1])
        beds.append(PackedBed(placed, covered))
        for each in placed:
            waiting.remove(each.name)
    return Packed(tuple(beds), too_large)


def area(outline: Floats) -> float:
    """Give the area of a closed outline (n, 2)."""
    x, y = outline.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0


def _filled(
    waiting: Sequence[str], outlines: Mapping[str, Floats], areas: Mapping[str, float], packing: Packing
) -> tuple[PackedOutline, ...]:
    """Fill a bed with as many of the first as it holds; one always does."""
    room = FULLEST * packing.bed[0] * packing.bed[1]
    most = max(int(np.searchsorted(np.cumsum([areas[name] for name in waiting]), room)), 1)
    best = _alone(waiting[0], outlines[waiting[0]], packing)
    held, beyond = 1, most + 1
    while beyond - held > 1:
        tried = (held + beyond) // 2
        placed = _packed_strip(waiting[:tried], outlines, packing)
        if placed is None:
            beyond = tried
        else:
            held, best = tried, placed
    return _topped_up(best, waiting[held:], outlines, areas, packing)


def _topped_up(
    placed: tuple[PackedOutline, ...],
    waiting: Sequence[str],
    outlines: Mapping[str, Floats],
    areas: Mapping[str, float],
    packing: Packing,
) -> tuple[PackedOutline, ...]:
    """Add what of the others still fits, at most `TRIES` outlines tried."""
    room = FULLEST * packing.bed[0] * packing.bed[1]
    tries, failed = TRIES, ""
    for name in waiting:
        names = [each.name for each in placed]
        if name == failed or sum(areas[each] for each in names) + areas[name] > room:
            continue
        if not tries:
            break
        tries -= 1
        more = _packed_strip([*names, name], outlines, packing)
        placed, failed = (placed, name) if more is None else (more, "")
    return placed


def _alone(name: str, outline: Floats, packing: Packing) -> tuple[PackedOutline, ...]:
    """Lay one outline in the middle of the bed."""
    turn = turn_to_fit(outline, packing.bed).turn
    lying = PackedOutline(name, turn, (0.0, 0.0)).moved(outline)
    shift = np.array(packing.bed) / 2.0 - (lying.min(axis=0) + lying.max(axis=0)) / 2.0
    return (PackedOutline(name, turn, (float(shift[0]), float(shift[1]))),)


def _packed_strip(
    names: Sequence[str], outlines: Mapping[str, Floats], packing: Packing
) -> tuple[PackedOutline, ...] | None:
    # The library keeps the gap to the strip's edges too.
    edge = packing.margin - packing.gap
    width, depth = (side - 2.0 * edge for side in packing.bed)
    each = dict.fromkeys(names)
    items = [spyrrow.Item(name, list(map(tuple, outlines[name])), names.count(name), TURNS) for name in each]
    instance = spyrrow.StripPackingInstance("bed", strip_height=depth, items=items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=max(round(packing.seconds), 1),
        min_items_separation=packing.gap,
        num_workers=1,
        seed=1,
    )
    solution = instance.solve(config)
    if solution.width > width:
        return None
    return tuple(
        PackedOutline(item.id, item.rotation, (item.translation[0] + edge, item.translation[1] + edge))
        for item in solution.placed_items
    )
