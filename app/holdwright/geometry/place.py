"""Finding the best place for a bore on the base of a hold.

Each place has four figures, each taken relative to what is wanted of it: the thickness a seat could have
under it, the walls round clearance hole and pocket, and the distance from the edge of the back. The least of
the four is the place's margin: 1 is just enough, more is better. The best place has the greatest margin. Two
things break ties and keep the place where it is when a sculpt is revised a little: a slight pull towards the
centre of the base, and a place whose pocket would cut through an overhanging lip counts for one margin less.

The whole base is looked at on a grid of 1 mm; the best points of it are then moved freely, in ever shorter
steps, on heights taken between grid points and on the true outlines of level sections.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.columns import Grid, Mask
from holdwright.geometry.place_ground import Ground, inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.sculpt import Floats
from holdwright.geometry.seat import SeatRule, seat_heights
from holdwright.geometry.solid import Solid

Limit = Literal["thickness", "wall_at_bore", "wall_at_pocket", "edge"]
LIMITS: tuple[Limit, ...] = ("thickness", "wall_at_bore", "wall_at_pocket", "edge")

PULL = 0.2
"""Margin given up for moving from the rim of the base to its centre."""
LIP = 1.0
"""Margin a place loses when its pocket cuts a lip."""
DIRECTIONS = 24
"""Directions tried at once when a place is refined."""
TURNS = 4
"""Turns of those directions tried before the step is shortened: ridges of the margin are narrow."""
FINEST = 1.0 / 16.0
"""Shortest step of the refining, in grid steps."""
FARTHEST = 10
"""A place is refined no farther than this from where it started, in grid steps."""
FAR = 1e3
"""Distance that stands for no wall at all in sight, mm."""


@dataclass(frozen=True)
class Wanted:
    """What is wanted of a bore's place, and the bore's sizes. Lengths in mm.

    Attributes
    ----------
    clearance_diameter, pocket_diameter, ring_diameter
        As of `BoreShape`.
    rule
        For the seat; its `under_seat` is the thickness wanted.
    wall
        Wanted wall round clearance hole and pocket.
    edge
        Wanted distance from the axis to the edge of the back.
    taken
        Bores already there, as (x, y, pocket diameter): to be kept a wall away from.
    """

    clearance_diameter: float
    pocket_diameter: float
    ring_diameter: float
    rule: SeatRule
    wall: float = 8.0
    edge: float = 20.0
    taken: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Place:
    """A place for a bore, with its figures (mm) and its margin (1: everything as wanted)."""

    x: float
    y: float
    margin: float
    thickness: float
    wall_at_bore: float
    wall_at_pocket: float
    edge: float
    seat: float
    cuts_lip: bool
    limited_by: Limit


@dataclass(frozen=True, eq=False)
class PlaceField:
    """Margins over the base.

    Attributes
    ----------
    grid
        Where they are taken.
    margin
        (rows, columns), NaN off the base.
    cuts_lip
        (rows, columns), where the pocket would cut a lip.
    """

    grid: Grid
    margin: Floats
    cuts_lip: Mask


@dataclass(frozen=True, eq=False)
class _Figures:
    """The figures of many places, arrays of one shape."""

    thickness: Floats
    wall_at_bore: Floats
    wall_at_pocket: Floats
    edge: Floats
    seat: Floats
    wanted: Wanted = field(repr=False)

    @property
    def ratios(self) -> Floats:
        wanted = self.wanted
        return np.stack(
            [
                self.thickness / wanted.rule.under_seat,
                self.wall_at_bore / wanted.wall,
                self.wall_at_pocket / wanted.wall,
                self.edge / wanted.edge,
            ]
        )

    @property
    def margin(self) -> Floats:
        return np.asarray(self.ratios.min(axis=0))


def place_field(solid: Solid, wanted: Wanted) -> PlaceField:
    """Give the margin of every place on the base, for a picture of where a bore can go.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm.
    wanted
        Limits must be greater than 0.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0.
    """
    return _field(Ground.of(solid), wanted)


def best_places(solid: Solid, wanted: Wanted, count: int = 3) -> tuple[Place, ...]:
    """Find the best places for a bore, best first.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm.
    wanted
        Limits must be greater than 0.
    count
        At most so many, each at least half a pocket away from the others; only the first is sure to come.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0.
    """
    ground = Ground.of(solid)
    over_base = _field(ground, wanted)
    score = over_base.margin - LIP * over_base.cuts_lip - _pull(ground, *over_base.grid.places)
    score = np.where(np.isnan(score), -np.inf, score)
    x, y = over_base.grid.places
    places: list[Place] = []
    while len(places) < count and np.isfinite(score).any():
        best = np.unravel_index(np.argmax(score), score.shape)
        place = _refined(ground, wanted, np.array([x[best], y[best]]))
        if all(
            np.hypot(place.x - other.x, place.y - other.y) > wanted.pocket_diameter / 2 for other in places
        ):
            places.append(place)
        for spot in ((place.x, place.y), (x[best], y[best])):
            score[np.hypot(x - spot[0], y - spot[1]) <= wanted.pocket_diameter / 2] = -np.inf
    return tuple(places)


def _field(ground: Ground, wanted: Wanted) -> PlaceField:
    if not ground.base.any():
        raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its base first.")
    step = ground.grid.step
    figures = _figures(
        wanted,
        lowest=least_over_disc(ground.top, wanted.pocket_diameter / 2 / step),
        underside=most_over_disc(ground.underside, wanted.ring_diameter / 2 / step),
        on_axis=ground.top,
        levels=ground.levels,
        distances=ground.grid_distances(),
        edge=np.minimum(inner_distance(ground.base, step), _from_taken(wanted, *ground.grid.places)),
    )
    margin = np.where(ground.base, figures.margin, np.nan)
    beyond = most_over_disc(ground.columns.above_first, wanted.pocket_diameter / 2 / step)
    return PlaceField(ground.grid, margin, beyond > 0.0)


def _figures(
    wanted: Wanted,
    *,
    lowest: Floats,
    underside: Floats,
    on_axis: Floats,
    levels: Floats,
    distances: Floats,
    edge: Floats,
) -> _Figures:
    """Put the figures of places together; all arrays of one shape, `distances` with the levels in front."""
    _, seat = seat_heights(wanted.rule, lowest, underside, on_axis)
    hole, pocket = wanted.clearance_diameter / 2, wanted.pocket_diameter / 2
    bore_wall, pocket_wall = np.full(seat.shape, FAR), np.full(seat.shape, FAR)
    at_seat = np.clip(np.searchsorted(levels, seat), 0, len(levels) - 1)
    for number, height in enumerate(levels):
        below = ((height > underside) & (height < seat)) | (at_seat == number)
        above = ((height > seat) & (height < lowest - wanted.wall)) | (at_seat == number)
        bore_wall = np.where(below, np.minimum(bore_wall, distances[number] - hole), bore_wall)
        pocket_wall = np.where(above, np.minimum(pocket_wall, distances[number] - pocket), pocket_wall)
    return _Figures(lowest - underside, bore_wall, pocket_wall, edge, np.asarray(seat), wanted)


def _from_taken(wanted: Wanted, x: Floats, y: Floats) -> Floats:
    """Distance from bores already there, put so that an edge distance as wanted is a wall as wanted."""
    least = np.full(np.shape(x), FAR)
    for other_x, other_y, diameter in wanted.taken:
        wall = np.hypot(x - other_x, y - other_y) - diameter / 2 - wanted.pocket_diameter / 2
        least = np.minimum(least, wall * wanted.edge / wanted.wall)
    return least


def _pull(ground: Ground, x: Floats, y: Floats) -> Floats:
    reach = np.sqrt(ground.base_area / np.pi)
    return np.asarray(PULL * np.hypot(x - ground.base_centre[0], y - ground.base_centre[1]) / reach)


def _at(ground: Ground, wanted: Wanted, places: Floats) -> tuple[_Figures, Mask]:
    """Figures of free places (n, 2), and which of them cut a lip."""
    pocket, ring = wanted.pocket_diameter / 2, wanted.ring_diameter / 2
    outline = ground.base_points[None, :, :] - places[:, None, :]
    edge = np.hypot(outline[:, :, 0], outline[:, :, 1]).min(axis=1)
    on_base = ground.base[ground.cells_of(places)]
    tops = ground.over_discs(ground.top, places, pocket)
    figures = _figures(
        wanted,
        lowest=tops.min(axis=1),
        underside=ground.over_discs(ground.underside, places, ring).max(axis=1),
        on_axis=tops[:, 0],
        levels=ground.levels,
        distances=ground.distances(places),
        edge=np.minimum(np.where(on_base, edge, -edge), _from_taken(wanted, *places.T)),
    )
    return figures, ground.over_discs(ground.columns.above_first, places, pocket).max(axis=1) > 0.0


def _refined(ground: Ground, wanted: Wanted, start: Floats) -> Place:
    """Climb to the best place near a grid point: where no direction is better, shorten the step."""
    step, centre, turn = ground.grid.step, start, 0
    while step >= FINEST * ground.grid.step and np.hypot(*(centre - start)) < FARTHEST * ground.grid.step:
        angle = (np.arange(DIRECTIONS) + turn / TURNS) * 2 * np.pi / DIRECTIONS
        places = centre + step * np.vstack([[0.0, 0.0], np.column_stack([np.cos(angle), np.sin(angle)])])
        figures, lip = _at(ground, wanted, places)
        score = figures.margin - LIP * lip - _pull(ground, *places.T)
        best = int(np.argmax(score))
        if score[best] > score[0] + 1e-9:
            centre, turn = places[best], 0
        else:
            turn = (turn + 1) % TURNS
            step = step if turn else step / 2.0
    return _place(*_at(ground, wanted, centre[None, :]), centre)


def _place(figures: _Figures, lip: Mask, at: Floats) -> Place:
    ratios = figures.ratios[:, 0]
    return Place(
        x=float(at[0]),
        y=float(at[1]),
        margin=float(figures.margin[0]),
        thickness=float(figures.thickness[0]),
        wall_at_bore=float(figures.wall_at_bore[0]),
        wall_at_pocket=float(figures.wall_at_pocket[0]),
        edge=float(figures.edge[0]),
        seat=float(figures.seat[0]),
        cuts_lip=bool(lip[0]),
        limited_by=LIMITS[int(np.argmin(ratios))],
    )


def margins_at(solid: Solid, wanted: Wanted, places: Sequence[tuple[float, float]]) -> tuple[Place, ...]:
    """Give the figures of chosen places (x, y), in the same terms as those that are found."""
    ground = Ground.of(solid)
    points = np.asarray(places, dtype=np.float64).reshape(-1, 2)
    return tuple(_place(*_at(ground, wanted, point[None, :]), point) for point in points)
