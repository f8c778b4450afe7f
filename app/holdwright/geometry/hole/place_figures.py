"""What a bore's place is rated by: the figures of many places at once, and what is required of them."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Literal

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.height_grid import HeightGrid, inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.seat import SeatRule, seat_heights

Limit = Literal["thickness", "wall_at_bore", "wall_at_pocket", "wall_above", "edge", "access", "spin", "lift"]
LIMITS: tuple[Limit, ...] = ("thickness", "wall_at_bore", "wall_at_pocket", "wall_above", "edge", "access")
"""What every place is rated by, before any further criteria."""
BARRED = 0.5
"""What access counts where a lip lies right above the axis: the pocket is cut through it then."""
ABOVE = 0.5
"""Share of the required thickness that will do above the seat, where nothing presses on it."""
FEW_RAYS = 12
"""Rays along which fins are searched on the grid."""
FAR = 1e3
"""Distance that stands for no outside near, mm."""


@dataclass(frozen=True)
class BoreRequirements:
    """What is required of a bore's place. Lengths in mm."""

    hole: Hole
    """Its sizes count, and its cone."""
    rule: SeatRule
    """For the seat; its `under_seat` is the required thickness."""
    thickness: float = 8.0
    """Required round clearance hole and pocket."""
    edge: float = 20.0
    """Required distance from the axis to the edge of the back."""
    taken: tuple[Hole, ...] = ()
    """Bores already in the hold: that thickness is required between."""


@dataclass(frozen=True, eq=False)
class PlaceFigures:
    """The surroundings of many places and their figures: arrays of one shape, mm."""

    bore: BoreRequirements
    levels: Floats
    lowest: Floats
    on_axis: Floats
    """Lowest top over the pocket, and top on the axis."""
    underside: Floats
    """Highest underside below the ring."""
    distances: Callable[[Mask], Floats]
    """From the outlines of the level sections, level by level in front; of the levels (n,) marked."""
    edge: Floats
    """Of the axis from the edge of the back and from other bores; negative off the back."""
    access: Floats
    """Of the axis from what overhangs: head and washer come in freely where it is the pocket's radius."""
    outward: Floats
    """Tops along rays from the pocket's edge outward, rays and lengths behind."""

    @classmethod
    def over_grid(cls, ground: HeightGrid, bore: BoreRequirements) -> "PlaceFigures":
        """Measure every grid point; distances are good to about half a grid step."""
        step, lengths = ground.grid.step, _lengths(bore, 5)
        outward = np.zeros((*ground.grid.shape, FEW_RAYS, len(lengths)))
        outward[ground.base] = ground.outward(ground.base_places, bore.hole.pocket_radius, lengths, FEW_RAYS)
        return cls(
            bore,
            ground.levels,
            lowest=least_over_disc(ground.top, bore.hole.pocket_radius / step),
            on_axis=ground.top,
            underside=most_over_disc(ground.underside, bore.hole.ring_diameter / 2 / step),
            distances=ground.grid_distances,
            edge=np.minimum(inner_distance(ground.base, step), _from_taken(bore, *ground.grid.places)),
            access=ground.access,
            outward=outward,
        )

    @classmethod
    def at(cls, ground: HeightGrid, bore: BoreRequirements, places: Floats) -> "PlaceFigures":
        """Measure free places (n, 2): on heights between grid points, and on true outlines of sections."""
        pocket, ring = bore.hole.pocket_radius, bore.hole.ring_diameter / 2
        edge = ground.base_edge.query(places)[0]
        on_base = ground.base[ground.cells_of(places)]
        tops = ground.over_discs(ground.top, places, pocket)
        return cls(
            bore,
            ground.levels,
            lowest=tops.min(axis=1),
            on_axis=tops[:, 0],
            underside=ground.over_discs(ground.underside, places, ring).max(axis=1),
            distances=partial(ground.distances, places),
            edge=np.minimum(np.where(on_base, edge, -edge), _from_taken(bore, *places.T)),
            access=ground.between(ground.access, *places.T),
            outward=ground.outward(places, pocket, _lengths(bore, 9)),
        )

    @cached_property
    def seat(self) -> Floats:
        """Height of the seat by the rule."""
        return np.asarray(seat_heights(self.bore.rule, self.lowest, self.underside, self.on_axis)[1])

    @cached_property
    def values(self) -> dict[Limit, Floats]:
        """Figures in the order of `LIMITS`.

        "thickness" is what a seat could have under it at most; "wall_at_bore" and "wall_at_pocket" are square
        to the axis, from the level sections, for the pocket at the seat and below its lowest edge;
        "wall_above" is that of the pocket deep below its edge in each direction, from the heights round it.
        """
        bore, seat = self.bore, self.seat
        height = self.levels.reshape(-1, *np.ones(seat.ndim, int))
        at_seat = np.clip(np.searchsorted(self.levels, seat), 0, len(self.levels) - 1)
        here = height == self.levels[at_seat]
        below = here | ((height > self.underside) & (height < seat))
        above = here | ((height > seat) & (height < self.lowest - bore.thickness))
        count = (below | above).reshape(len(self.levels), -1).any(axis=1)
        distances = self.distances(count)
        at_hole = distances.min(axis=0, initial=np.inf, where=below) - bore.hole.hole_radius
        at_pocket = distances.min(axis=0, initial=np.inf, where=above) - bore.hole.pocket_radius
        return {
            "thickness": self.lowest - self.underside,
            "wall_at_bore": np.minimum(at_hole, FAR),
            "wall_at_pocket": np.minimum(at_pocket, FAR),
            "wall_above": self._above_seat(),
            "edge": self.edge,
            "access": self.access,
        }

    @cached_property
    def ratios(self) -> Floats:
        """Each figure relative to what is required, in the order of `LIMITS`, stacked in front."""
        bore = self.bore
        required = (bore.rule.under_seat, bore.thickness, bore.thickness, ABOVE * bore.thickness, bore.edge)
        *others, access = self.values.values()
        free = 2.0 * access / bore.hole.pocket_diameter
        ratios = [value / least for value, least in zip(others, required, strict=True)]
        return np.stack([*ratios, np.maximum(free, BARRED + (1.0 - BARRED) * np.minimum(free, 1.0))])

    def _above_seat(self) -> Floats:
        """Thickness round the pocket above its seat, so far below its edge as is required.

        Along each ray it ends where the ground outside first lies that deep below the pocket's edge there. It
        counts in full where that place is half of that above the seat, and less and less below.
        """
        tops, required = self.outward, self.bore.thickness
        deep = tops[..., :1] - required
        under = tops <= deep
        first = np.argmax(under, axis=-1)[..., None]
        inner = np.take_along_axis(tops, np.maximum(first - 1, 0), axis=-1)
        outer = np.take_along_axis(tops, first, axis=-1)
        lengths = _lengths(self.bore, tops.shape[-1])
        share = (inner - deep) / np.where(inner > outer, inner - outer, 1.0)
        width = (first - 1 + share) * (lengths[1] - lengths[0])
        counts = np.clip((deep - self.seat[..., None, None]) / (required / 2.0), 1e-9, 1.0)
        width = np.where(under.any(axis=-1, keepdims=True), np.minimum(width / counts, FAR), FAR)
        return np.asarray(width.min(axis=(-2, -1)))


def _lengths(bore: BoreRequirements, count: int) -> Floats:
    """Distances from the pocket's edge that tops are sampled at."""
    return np.linspace(0.0, 2.0 * bore.thickness, count)


def _from_taken(bore: BoreRequirements, x: Floats, y: Floats) -> Floats:
    """Distance from other bores, put so that an edge distance as required is a thickness as required."""
    least = np.full(np.shape(x), FAR)
    for other in bore.taken:
        between = np.hypot(x - other.x, y - other.y) - other.pocket_reach - bore.hole.pocket_radius
        least = np.minimum(least, between * bore.edge / bore.thickness)
    return least
