"""Laying outlines out on as few beds as can be: quickly, then by a library that packs irregular shapes.

The library (spyrrow, MIT; Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot 2D nesting
research", arXiv 2509.13329, from memory) packs a strip as short as it can; a bed is a strip of given length.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.bed_fit import turn_to_fit
from holdwright.geometry.measure.footprint import grown
from holdwright.progress import Progress
from holdwright.sets.bed_map import BedMap, MapSize, TurnedShape, turned_shapes
from holdwright.sets.benches import Do, do_here

TURNS: Final = tuple(float(turn) for turn in range(0, 360, 15))
"""Turns that are tried, degrees: only fifteen apart, which packs outlines of holds as well as any."""

FULLEST: Final = 0.86
"""Share of a bed that is never passed, the gaps counted in, so that fuller ones are not tried."""

OPEN: Final = 4
"""Beds that are filled at once."""

TRIES: Final = 4
"""How often the library may try to make do with a bed less."""

AT_ONCE: Final = 2
"""Tries side by side."""

COARSE: Final = 0.6
"""What an outline that is tried may lie outside the true one, mm: fewer corners, more tries a second."""

_Laid = tuple["PackedOutline", ...]


@dataclass(frozen=True)
class Packing:
    """How a bed is found."""

    bed: tuple[float, float]
    """Width and depth, mm."""
    margin: float = 5.0
    """Kept free along the bed's edges, mm."""
    gap: float = 6.0
    """Between outlines, mm: room for a brim and a finger. Both common practice, no source."""
    seconds: int = 1
    """Spent on one try."""

    @property
    def room(self) -> tuple[float, float]:
        """Width and depth within the margin, mm."""
        return self.bed[0] - 2.0 * self.margin, self.bed[1] - 2.0 * self.margin

    @property
    def fullest(self) -> float:
        """Most area of outlines that are grown by half the gap, mm2."""
        return FULLEST * (self.room[0] + self.gap) * (self.room[1] + self.gap)


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


def pack(
    outlines: Mapping[str, Floats], counts: Mapping[str, int], packing: Packing, do: Do = do_here
) -> Packed:
    """Pack outlines (n, 2), mm, each as often as its count, on as few beds as are found.

    Parameters
    ----------
    do
        Does works: the laying on maps, and the library's tries.

    Notes
    -----
    First all are laid on maps, the largest first. Where the area they cover would do with fewer beds, the
    library tries a few times to lay what is on the emptiest one on others beside what is there.
    """
    (laid,) = do([MapWork(outlines, counts, packing)])
    beds: list[_Laid] = laid.beds
    least = math.ceil(sum(area * counts[name] for name, area in laid.areas.items()) / packing.fullest)
    trial = _Trial(outlines, laid.areas, packing, do)
    while len(beds) > least and (fewer := trial.one_less(beds)) is not None:
        beds = fewer
    return Packed(tuple(_centred(each, outlines, packing) for each in beds), laid.too_large)


@dataclass(frozen=True, eq=False)
class LaidOnMaps:
    """What was laid on maps."""

    beds: list[_Laid]
    areas: Mapping[str, float]
    """Of outlines grown by half the gap, mm2."""
    too_large: tuple[str, ...]
    """What fits on no bed."""


@dataclass(frozen=True, eq=False)
class MapWork:
    """Outlines to be laid on maps of beds, each as often as its count."""

    outlines: Mapping[str, Floats]
    counts: Mapping[str, int]
    packing: Packing

    def do(self, progress: Progress) -> LaidOnMaps:
        """Lay each on the first open bed where it is free to lie, else on a new one; the largest first."""
        packing, outlines = self.packing, self.outlines
        spare = {name: turn_to_fit(each, packing.room).spare for name, each in outlines.items()}
        grown_by = packing.gap / 2.0
        areas = {name: area(grown(outlines[name], grown_by)) for name in outlines if spare[name] >= 0.0}
        size = MapSize(packing.room, packing.gap)
        beds: list[tuple[BedMap, list[PackedOutline]]] = []
        for number, name in enumerate(sorted(areas, key=lambda name: -areas[name])):
            progress.report(number / len(areas), "laying out plates")
            shapes = turned_shapes(outlines[name], TURNS, size)
            for _ in range(self.counts[name]):
                self._lay(name, shapes, beds, areas)
        return LaidOnMaps(
            [tuple(placed) for _, placed in beds],
            areas,
            tuple(name for name in outlines if spare[name] < 0.0),
        )

    def _lay(
        self,
        name: str,
        shapes: Sequence[TurnedShape],
        beds: list[tuple[BedMap, list[PackedOutline]]],
        areas: Mapping[str, float],
    ) -> None:
        for bed, placed in beds[-OPEN:]:
            full = sum(areas[each.name] for each in placed) + areas[name] > self.packing.fullest
            found = None if full or not shapes else bed.lay(shapes)
            if found is not None:
                placed.append(PackedOutline(name, *found))
                return
        bed = BedMap(MapSize(self.packing.room, self.packing.gap))
        found = bed.lay(shapes) if shapes else None
        # One that fits at a turn between those that are tried has a bed to itself.
        own = turn_to_fit(self.outlines[name], self.packing.room).turn
        beds.append((bed, [PackedOutline(name, *(found or (own, (0.0, 0.0))))]))


def area(outline: Floats) -> float:
    """Give the area of a closed outline (n, 2)."""
    x, y = outline.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0


class _Trial:
    """Tries to do with fewer beds, as often as it may."""

    def __init__(
        self, outlines: Mapping[str, Floats], areas: Mapping[str, float], packing: Packing, do: Do
    ) -> None:
        self._outlines, self._areas, self._packing, self._do = outlines, areas, packing, do
        self._left = TRIES

    def one_less(self, beds: Sequence[_Laid]) -> list[_Laid] | None:
        """Lay what is on the emptiest bed on others; None where it does not go."""
        emptiest = min(beds, key=self._covered)
        others = [each for each in beds if each is not emptiest]
        for name in sorted((each.name for each in emptiest), key=lambda name: -self._areas[name]):
            found = self._added(name, others)
            if found is None:
                return None
            number, laid = found
            others[number] = laid
        return others

    def _added(self, name: str, beds: Sequence[_Laid]) -> tuple[int, _Laid] | None:
        """Lay one more on some bed, those with most room tried first."""
        room = self._packing.fullest - self._areas[name]
        hosts = sorted(
            (number for number, bed in enumerate(beds) if self._covered(bed) <= room),
            key=lambda number: self._covered(beds[number]),
        )
        for first in range(0, len(hosts), AT_ONCE):
            tried = hosts[first : first + min(AT_ONCE, self._left)]
            self._left -= len(tried)
            works = [self._work([*(each.name for each in beds[number]), name]) for number in tried]
            for number, laid in zip(tried, self._do(works) if works else (), strict=True):
                if laid is not None:
                    return number, laid
        return None

    def _work(self, names: Sequence[str]) -> "Try":
        coarse = {name: grown(self._outlines[name], 0.0, COARSE) for name in dict.fromkeys(names)}
        return Try(tuple(names), coarse, self._packing)

    def _covered(self, bed: _Laid) -> float:
        return sum(self._areas[each.name] for each in bed)


@dataclass(frozen=True, eq=False)
class Try:
    """Whether outlines fit on one bed, tried by the library."""

    names: tuple[str, ...]
    outlines: Mapping[str, Floats]
    packing: Packing

    def do(self, _progress: Progress) -> _Laid | None:
        """Lay them out; None where no way was found."""
        import spyrrow  # takes a moment to load, and is not always needed

        packing = self.packing
        # The library keeps the gap to the strip's edges too.
        edge = packing.margin - packing.gap
        width, depth = (side - 2.0 * edge for side in packing.bed)
        items = [
            spyrrow.Item(name, list(map(tuple, each)), self.names.count(name), TURNS)
            for name, each in self.outlines.items()
        ]
        config = spyrrow.StripPackingConfig(
            total_computation_time=packing.seconds, min_items_separation=packing.gap, num_workers=1, seed=1
        )
        solution = spyrrow.StripPackingInstance("bed", strip_height=depth, items=items).solve(config)
        if solution.width > width:
            return None
        return tuple(
            PackedOutline(item.id, item.rotation, (item.translation[0] + edge, item.translation[1] + edge))
            for item in solution.placed_items
        )


def _centred(placed: _Laid, outlines: Mapping[str, Floats], packing: Packing) -> PackedBed:
    """Move what lies on a bed to its middle."""
    corners = np.concatenate([each.moved(outlines[each.name]) for each in placed])
    by = np.array(packing.bed) / 2.0 - (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    laid = tuple(
        PackedOutline(each.name, each.turn, (float(each.shift[0] + by[0]), float(each.shift[1] + by[1])))
        for each in placed
    )
    covered = sum(area(outlines[each.name]) for each in placed) / (packing.bed[0] * packing.bed[1])
    return PackedBed(laid, covered)
