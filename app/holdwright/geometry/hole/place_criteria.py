"""The figures that places for a bore are judged by."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.height_grid import HeightGrid, inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.hole.seat import SeatRule, seat_heights

Limit = Literal["thickness", "wall_at_bore", "wall_at_pocket", "wall_above", "edge", "access", "spin", "lift"]
LIMITS: tuple[Limit, ...] = ("thickness", "wall_at_bore", "wall_at_pocket", "wall_above", "edge", "access")
"""What every place is judged by, without the standards that are asked for besides."""

BARRED = 0.5
"""What access counts where a lip lies right above the axis: the pocket is cut through it then."""

ABOVE = 0.5
"""Share of the required wall that will do above the seat, where nothing presses on it."""

FEW_RAYS = 12
"""Rays along which fins are looked for on the grid."""
FAR = 1e3
"""Distance that stands for no wall at all in sight, mm."""


@dataclass(frozen=True, eq=False)
class Standard:
    """Something else that places are judged by.

    Attributes
    ----------
    name
        What it is about.
    ratio
        Gives for places (n, 2) in mm how much of what is required each has, (n,).
    """

    name: Limit
    ratio: Callable[[Floats], Floats]


@dataclass(frozen=True)
class Wanted:
    """What is required of a bore's place, and the bore's sizes. Lengths in mm.

    Attributes
    ----------
    clearance_diameter, pocket_diameter, ring_diameter
        As of `Hole`.
    rule
        For the seat; its `under_seat` is the thickness wanted.
    wall
        Wanted wall round clearance hole and pocket.
    edge
        Wanted distance from the axis to the edge of the back.
    taken
        Bores already in the hold, as (x, y, pocket diameter): to be kept a wall away from.
    further
        What else places are judged by.
    """

    clearance_diameter: float
    pocket_diameter: float
    ring_diameter: float
    rule: SeatRule
    wall: float = 8.0
    edge: float = 20.0
    taken: tuple[tuple[float, float, float], ...] = ()
    further: tuple[Standard, ...] = ()

    @property
    def limits(self) -> tuple[Limit, ...]:
        """All that places are judged by, in the order of `Figures.ratios`."""
        return (*LIMITS, *(standard.name for standard in self.further))


@dataclass(frozen=True, eq=False)
class Figures:
    """The figures of many places, arrays of one shape.

    Attributes
    ----------
    wanted
        What the places are judged by.
    seat
        Height of the seat by the rule, mm.
    cuts_lip
        Whether the pocket would cut through an overhanging lip.
    values
        mm, by `LIMITS`: "thickness", what a seat could have under it at most; "wall_at_bore" and
        "wall_at_pocket", square to the axis, from the level sections, for the pocket at the seat and below
        its lowest edge; "wall_above", of the pocket deep below its edge in each direction, from the heights
        round it; "edge", of the axis from the edge of the back, negative off it; "access", of the axis from
        what overhangs: head and washer come in freely where it is the pocket's radius at least.
    further
        What `Wanted.further` says of each place, stacked in front.
    """

    wanted: Wanted = field(repr=False)
    seat: Floats
    cuts_lip: Mask
    values: Mapping[Limit, Floats]
    further: Floats

    @property
    def ratios(self) -> Floats:
        """Each figure relative to its demand, in the order of `Wanted.limits`, stacked in front."""
        wanted, values = self.wanted, self.values
        free = 2.0 * values["access"] / wanted.pocket_diameter
        return np.stack(
            [
                values["thickness"] / wanted.rule.under_seat,
                values["wall_at_bore"] / wanted.wall,
                values["wall_at_pocket"] / wanted.wall,
                values["wall_above"] / (ABOVE * wanted.wall),
                values["edge"] / wanted.edge,
                np.maximum(free, BARRED + (1.0 - BARRED) * np.minimum(free, 1.0)),
                *self.further,
            ]
        )

    @property
    def margin(self) -> Floats:
        """The least ratio: 1 is just enough."""
        return np.asarray(self.ratios.min(axis=0))

    def weighing(self, standards: tuple[Standard, ...], ground: HeightGrid) -> "Figures":
        """Judge every grid point of a hold by other standards besides."""
        wanted = replace(self.wanted, further=standards)
        return replace(self, wanted=wanted, further=_further_of_base(ground, wanted))


@dataclass(frozen=True, eq=False)
class _PlaceSurroundings:
    """What is met round many places: arrays of one shape, mm.

    Attributes
    ----------
    lowest, on_axis
        Lowest top over the pocket, and top on the axis.
    underside
        Highest underside below the ring.
    beyond
        Most material met above the first open air over the pocket.
    distances
        From the outlines of the level sections, level by level in front.
    edge
        From the edge of the back and from other bores.
    access, further
        As of `Figures`.
    outward
        Tops along rays from the pocket's edge outward, rays and lengths behind.
    """

    lowest: Floats
    on_axis: Floats
    underside: Floats
    beyond: Floats
    distances: Floats
    edge: Floats
    access: Floats
    further: Floats
    outward: Floats


def over_grid(ground: HeightGrid, wanted: Wanted) -> Figures:
    """Judge every grid point; distances are good to about half a grid step."""
    step = ground.grid.step
    pocket, ring = wanted.pocket_diameter / 2 / step, wanted.ring_diameter / 2 / step
    around = _PlaceSurroundings(
        lowest=least_over_disc(ground.top, pocket),
        on_axis=ground.top,
        underside=most_over_disc(ground.underside, ring),
        # A step wider, since between grid points a lip's edge may lie anywhere.
        beyond=most_over_disc(ground.columns.above_first, pocket + 1.0),
        distances=ground.grid_distances(),
        edge=np.minimum(inner_distance(ground.base, step), _from_taken(wanted, *ground.grid.places)),
        access=ground.access,
        further=_further_of_base(ground, wanted),
        outward=_outward_of_base(ground, wanted),
    )
    return _figures(wanted, ground.levels, around)


def at_places(ground: HeightGrid, wanted: Wanted, places: Floats) -> Figures:
    """Judge free places (n, 2): on heights between grid points, and on the true outlines of sections."""
    pocket, ring = wanted.pocket_diameter / 2, wanted.ring_diameter / 2
    edge = ground.base_edge.query(places)[0]
    on_base = ground.base[ground.cells_of(places)]
    tops = ground.over_discs(ground.top, places, pocket)
    around = _PlaceSurroundings(
        lowest=tops.min(axis=1),
        on_axis=tops[:, 0],
        underside=ground.over_discs(ground.underside, places, ring).max(axis=1),
        beyond=ground.over_discs(ground.columns.above_first, places, pocket).max(axis=1),
        distances=ground.distances(places),
        edge=np.minimum(np.where(on_base, edge, -edge), _from_taken(wanted, *places.T)),
        access=ground.between(ground.access, *places.T),
        further=np.array([standard.ratio(places) for standard in wanted.further]).reshape(-1, len(places)),
        outward=ground.outward(places, pocket, _lengths(wanted, 9)),
    )
    return _figures(wanted, ground.levels, around)


def _figures(wanted: Wanted, levels: Floats, around: _PlaceSurroundings) -> Figures:
    """Put the figures of places together."""
    seat = np.asarray(seat_heights(wanted.rule, around.lowest, around.underside, around.on_axis)[1])
    hole, pocket = wanted.clearance_diameter / 2, wanted.pocket_diameter / 2
    bore_wall, pocket_wall = np.full(seat.shape, FAR), np.full(seat.shape, FAR)
    at_seat = np.clip(np.searchsorted(levels, seat), 0, len(levels) - 1)
    for number, height in enumerate(levels):
        below = ((height > around.underside) & (height < seat)) | (at_seat == number)
        above = ((height > seat) & (height < around.lowest - wanted.wall)) | (at_seat == number)
        bore_wall = np.where(below, np.minimum(bore_wall, around.distances[number] - hole), bore_wall)
        pocket_wall = np.where(above, np.minimum(pocket_wall, around.distances[number] - pocket), pocket_wall)
    values: dict[Limit, Floats] = {
        "thickness": around.lowest - around.underside,
        "wall_at_bore": bore_wall,
        "wall_at_pocket": pocket_wall,
        "wall_above": _wall_above(around.outward, seat, wanted),
        "edge": around.edge,
        "access": around.access,
    }
    return Figures(wanted, seat, np.asarray(around.beyond > 0.0), values, around.further)


def _lengths(wanted: Wanted, count: int) -> Floats:
    """Distances from the pocket's edge that tops are sampled at."""
    return np.linspace(0.0, 2.0 * wanted.wall, count)


def _outward_of_base(ground: HeightGrid, wanted: Wanted) -> Floats:
    lengths = _lengths(wanted, 5)
    tops = np.zeros((*ground.grid.shape, FEW_RAYS, len(lengths)))
    places = np.stack(ground.grid.places, axis=-1)[ground.base]
    tops[ground.base] = ground.outward(places, wanted.pocket_diameter / 2, lengths, FEW_RAYS)
    return tops


def _further_of_base(ground: HeightGrid, wanted: Wanted) -> Floats:
    ratios = np.zeros((len(wanted.further), *ground.grid.shape))
    places = np.stack(ground.grid.places, axis=-1)[ground.base]
    for ratio, standard in zip(ratios, wanted.further, strict=True):
        ratio[ground.base] = standard.ratio(places)
    return ratios


def _wall_above(tops: Floats, seat: Floats, wanted: Wanted) -> Floats:
    """Wall of the pocket above its seat, a wall's width below its edge.

    Along each ray it ends where the ground outside first lies that deep below the pocket's edge there. It
    counts in full where that place is half a wall above the seat, and less and less below.
    """
    deep = tops[..., :1] - wanted.wall
    under = tops <= deep
    first = np.argmax(under, axis=-1)[..., None]
    inner = np.take_along_axis(tops, np.maximum(first - 1, 0), axis=-1)
    outer = np.take_along_axis(tops, first, axis=-1)
    lengths = _lengths(wanted, tops.shape[-1])
    share = (inner - deep) / np.where(inner > outer, inner - outer, 1.0)
    width = (first - 1 + share) * (lengths[1] - lengths[0])
    counts = np.clip((deep - seat[..., None, None]) / (wanted.wall / 2.0), 1e-9, 1.0)
    width = np.where(under.any(axis=-1, keepdims=True), np.minimum(width / counts, FAR), FAR)
    return np.asarray(width.min(axis=(-2, -1)))


def _from_taken(wanted: Wanted, x: Floats, y: Floats) -> Floats:
    """Distance from bores already there, put so that an edge distance as wanted is a wall as wanted."""
    least = np.full(np.shape(x), FAR)
    for other_x, other_y, diameter in wanted.taken:
        wall = np.hypot(x - other_x, y - other_y) - diameter / 2 - wanted.pocket_diameter / 2
        least = np.minimum(least, wall * wanted.edge / wanted.wall)
    return least
