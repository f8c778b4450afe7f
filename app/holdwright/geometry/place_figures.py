"""The figures that places for a bore are judged by."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from holdwright.geometry.columns import Mask
from holdwright.geometry.place_ground import Ground, inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.sculpt import Floats
from holdwright.geometry.seat import SeatRule, seat_heights

Limit = Literal["thickness", "wall_at_bore", "wall_at_pocket", "edge"]
LIMITS: tuple[Limit, ...] = ("thickness", "wall_at_bore", "wall_at_pocket", "edge")

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


@dataclass(frozen=True, eq=False)
class Figures:
    """The figures of many places, arrays of one shape, mm.

    Attributes
    ----------
    thickness
        What a seat could have under it at most.
    wall_at_bore, wall_at_pocket
        From the level sections, square to the axis.
    edge
        Distance of the axis from the edge of the back, negative off it.
    seat
        Height of the seat by the rule.
    cuts_lip
        Whether the pocket would cut through an overhanging lip.
    """

    thickness: Floats
    wall_at_bore: Floats
    wall_at_pocket: Floats
    edge: Floats
    seat: Floats
    cuts_lip: Mask
    wanted: Wanted = field(repr=False)

    @property
    def ratios(self) -> Floats:
        """Each figure relative to what is wanted of it, in the order of `LIMITS`, stacked in front."""
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
        """The least ratio: 1 is just enough."""
        return np.asarray(self.ratios.min(axis=0))


def over_grid(ground: Ground, wanted: Wanted) -> Figures:
    """Judge every grid point; distances are good to about half a grid step."""
    step = ground.grid.step
    pocket, ring = wanted.pocket_diameter / 2 / step, wanted.ring_diameter / 2 / step
    return _figures(
        wanted,
        lowest=least_over_disc(ground.top, pocket),
        underside=most_over_disc(ground.underside, ring),
        on_axis=ground.top,
        levels=ground.levels,
        distances=ground.grid_distances(),
        edge=np.minimum(inner_distance(ground.base, step), _from_taken(wanted, *ground.grid.places)),
        # A step wider, since between grid points a lip's edge may lie anywhere.
        beyond=most_over_disc(ground.columns.above_first, pocket + 1.0),
    )


def at_places(ground: Ground, wanted: Wanted, places: Floats) -> Figures:
    """Judge free places (n, 2): on heights between grid points, and on the true outlines of sections."""
    pocket, ring = wanted.pocket_diameter / 2, wanted.ring_diameter / 2
    outline = ground.base_points[None, :, :] - places[:, None, :]
    edge = np.hypot(outline[:, :, 0], outline[:, :, 1]).min(axis=1)
    on_base = ground.base[ground.cells_of(places)]
    tops = ground.over_discs(ground.top, places, pocket)
    return _figures(
        wanted,
        lowest=tops.min(axis=1),
        underside=ground.over_discs(ground.underside, places, ring).max(axis=1),
        on_axis=tops[:, 0],
        levels=ground.levels,
        distances=ground.distances(places),
        edge=np.minimum(np.where(on_base, edge, -edge), _from_taken(wanted, *places.T)),
        beyond=ground.over_discs(ground.columns.above_first, places, pocket).max(axis=1),
    )


def _figures(
    wanted: Wanted,
    *,
    lowest: Floats,
    underside: Floats,
    on_axis: Floats,
    levels: Floats,
    distances: Floats,
    edge: Floats,
    beyond: Floats,
) -> Figures:
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
    lip = np.asarray(beyond > 0.0)
    return Figures(lowest - underside, bore_wall, pocket_wall, edge, np.asarray(seat), lip, wanted)


def _from_taken(wanted: Wanted, x: Floats, y: Floats) -> Floats:
    """Distance from bores already there, put so that an edge distance as wanted is a wall as wanted."""
    least = np.full(np.shape(x), FAR)
    for other_x, other_y, diameter in wanted.taken:
        wall = np.hypot(x - other_x, y - other_y) - diameter / 2 - wanted.pocket_diameter / 2
        least = np.minimum(least, wall * wanted.edge / wanted.wall)
    return least
