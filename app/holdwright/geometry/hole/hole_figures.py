"""The figures of a hole, measured exactly on the hold before the cut, for the cut as requested."""

from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import STEP, HoleSite, Least, edge_distance
from holdwright.geometry.hole.hole_thickness import bore_thickness, screw_thickness
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.place_search import SHORT, Climb
from holdwright.geometry.hole.screw_places import LEVER, ScrewRequirements, Surroundings
from holdwright.geometry.hole.seat import (
    SeatRule,
    bolt_seat,
    lowest_over_head,
    screw_seated,
    screw_site,
    under_bolt,
    under_head,
)
from holdwright.geometry.mesh.solid import Solid

BEYOND = 1.0
"""How far a screw's cutter goes on above the highest surface over the head, mm."""
UPWARD = 0.5
"""Least upward part of the unit normal of what faces up the wall: within 60 degrees."""
SCREW_CLIMB = Climb(longest=1.0, shortest=0.5, directions=8, hopeless=0.6, enough=1.0, digits=2)
"""How a place found for a screw is moved by its exact margin."""


@dataclass(frozen=True, eq=False)
class BoreFigures:
    """Figures of a bore, each measured at its first use. Lengths in mm, places in the hold's frame."""

    solid: Solid
    """The hold before the cut, finished back on z = 0, mm."""
    site: HoleSite
    """Its columns round the same axis."""
    hole: Hole
    """The bore, with its seat."""
    edge: Least
    """Least distance from the foot to the outer edge of the back; negative off the base."""
    deep: float = 8.0
    """See `at_pocket`."""
    requested: float = 0.0
    """Height of the seat by its rule alone."""

    @classmethod
    def of(cls, solid: Solid, hole: Hole, rule: SeatRule, edge: Least, deep: float) -> "BoreFigures":
        """Seat a bore by its rule.

        Raises
        ------
        GeometryError
            When there is no material within the pocket.
        """
        site = HoleSite.of(solid.mesh, hole)
        requested, seat = bolt_seat(site, rule)
        return cls(solid, site, replace(hole, seat=seat), edge, deep, requested)

    def limits(self, bore: BoreRequirements) -> tuple[tuple[Least, float], ...]:
        """Give thickness under the seat, round hole and pocket, and edge distance, each with its limit."""
        round_hole, round_pocket = (self.at_hole, bore.thickness), (self.at_pocket, bore.thickness)
        return (self.under_seat, bore.rule.under_seat), round_hole, round_pocket, (self.edge, bore.edge)

    @cached_property
    def under_seat(self) -> Least:
        """Least thickness under the seat, see `seat.under_bolt`."""
        return under_bolt(self.site, self.hole.seat)

    @cached_property
    def seat_share(self) -> Least:
        """Share of the ring that has material under it at the seat, 0 to 1, and where it has none."""
        bare = self.site.bare(self.hole.seat)
        return Least(1.0 - bare.value, bare.place)

    @property
    def at_hole(self) -> Least:
        """Least distance, square to the axis, from clearance hole to outside, from the seat to the back."""
        return self._round[0]

    @property
    def at_pocket(self) -> Least:
        """The same from the pocket: at the seat, and wherever the pocket is `deep` below its edge that way.

        Nearer to the edge that of any pocket in a slope runs out to nothing.
        """
        return self._round[1]

    @cached_property
    def _round(self) -> tuple[Least, Least]:
        return bore_thickness(self.solid, self.site, self.hole, self.deep)

    @cached_property
    def lip_volume(self) -> Least:
        """Material above the first open air over the seat that the pocket cuts through, mm3, and where."""
        columns = self.site.columns
        beyond = (columns.low > self.hole.seat) & self.site.pocket.reshape(-1)[columns.cell]
        length = columns.high[beyond] - columns.low[beyond]
        if len(length) == 0:
            return Least(0.0, self.hole.on_axis(self.hole.seat))
        most = int(np.argmax(length))
        place = self.site.at_cell(int(columns.cell[beyond][most]), float(columns.low[beyond][most]))
        return Least(float(length.sum()) * columns.grid.step**2, place)

    @cached_property
    def lowest_edge(self) -> Least:
        """Lowest height of the surface over the pocket."""
        _, high = self.site.stretch(self.hole.seat - 1e-6)
        return self.site.least(np.where(self.site.pocket & ~np.isnan(high), high, np.inf))

    @cached_property
    def highest_edge(self) -> Least:
        """Highest of all that the pocket cuts through: a key reaches the head from there."""
        columns = self.site.columns
        over = np.where(self.site.pocket.reshape(-1)[columns.cell], columns.high, -np.inf)
        top = int(np.argmax(over))
        height = float(over[top])
        return Least(height, self.site.at_cell(int(columns.cell[top]), height))


@dataclass(frozen=True, eq=False)
class ScrewFigures:
    """Figures of a screw hole, each measured at its first use, mm; places in the hold's frame."""

    around: Surroundings
    site: HoleSite
    hole: Hole
    required: ScrewRequirements

    @classmethod
    def of(cls, around: Surroundings, required: ScrewRequirements, x: float, y: float) -> "ScrewFigures":
        """Seat a screw at a place, mm.

        Raises
        ------
        GeometryError
            When there is no room for a countersink.
        """
        site = screw_site(around.solid.mesh, replace(required.hole, x=x, y=y), required.driver)
        return cls(around, site, screw_seated(site, required.below, required.most), required)

    @classmethod
    def near(cls, around: Surroundings, required: ScrewRequirements, place: Floats) -> "ScrewFigures | None":
        """Move a place (2,) found on a grid a little, until all is as required or it gets no better.

        Returns
        -------
        ScrewFigures or None
            None where there is no room at all.
        """

        @cache
        def figures(x: float, y: float) -> ScrewFigures | None:
            try:
                return cls.of(around, required, x, y)
            except GeometryError:
                return None

        def margins(places: Floats) -> Floats:
            found = (figures(x, y) for x, y in places.tolist())
            return np.array([-np.inf if each is None else each.margin for each in found])

        x, y = SCREW_CLIMB.best_near(place, margins).tolist()
        return figures(x, y)

    @cached_property
    def _lowest(self) -> Least:
        return lowest_over_head(self.site)

    @cached_property
    def _out(self) -> float:
        """Height just out of the surface over the head."""
        over = (self.site.radius <= self.hole.pocket_radius + STEP) & ~np.isnan(self.site.high)
        return float(self.site.high[over].max()) + BEYOND

    @property
    def top(self) -> float:
        """Height along the axis that the cutter goes up to."""
        return max(self._out, self.hole.mouth + self.required.below + BEYOND)

    @cached_property
    def under_head(self) -> Least:
        """Least thickness between countersink and finished back."""
        return under_head(self.site, self.hole.seat)

    @property
    def depth(self) -> Least:
        """How far the countersink lies below the lowest surface over it."""
        return Least(self._lowest.value - self.hole.mouth, self.hole.on_axis(self.hole.mouth))

    @cached_property
    def bare(self) -> Least:
        """Share of the countersink without material at its mouth, 0 to 1."""
        return self.site.bare(self.hole.mouth)

    @property
    def thickness(self) -> Least:
        """Least thickness between the hole and the outside."""
        return self._round[0]

    @property
    def to_holes(self) -> tuple[Least, ...]:
        """Thickness between it and each bore, then each other screw hole."""
        return self._round[1]

    @cached_property
    def _round(self) -> tuple[Least, tuple[Least, ...]]:
        others = (*self.around.bores, *self.around.screws)
        lowest, least = self._lowest.value, self.required.thickness
        return screw_thickness(self.around.solid, self.hole, lowest, self.top, others, least)

    @cached_property
    def edge(self) -> Least:
        """From the axis to the edge of the back; negative off it."""
        return edge_distance(self.around.solid, self.hole.x, self.hole.y)

    @cached_property
    def tips(self) -> tuple[Least, ...]:
        """From the rim of the head to the rim of each cut tip."""
        return tuple(_to_tip(self.hole, np.array(place), radius) for place, radius in self.around.tips)

    @cached_property
    def blocked(self) -> Least | None:
        """How far above the lowest surface over the head the driver is blocked; None for nowhere."""
        columns = self.site.columns
        free = (self.site.radius <= self.required.driver / 2.0).reshape(-1)
        over = free[columns.cell] & (columns.low > self._out)
        if not over.any():
            return None
        first = int(np.argmin(np.where(over, columns.low, np.inf)))
        height = float(columns.low[first])
        return Least(height - self._lowest.value, self.site.at_cell(int(columns.cell[first]), height))

    @cached_property
    def on_grip(self) -> Least:
        """Share of the head's surface that faces up the wall, more than off it; and the middle of that."""
        site = self.site
        dy, dx = np.gradient(site.high, STEP)
        normals = np.stack([-dx, -dy, np.ones_like(dx)], axis=-1) @ site.hole.from_axis[:3, :3].T
        normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
        gripped = site.pocket & (normals[..., 1] > np.maximum(normals[..., 2], UPWARD))
        if not gripped.any():
            return Least(0.0, self._lowest.place)
        return site.share(gripped, site.pocket, float(site.high[gripped].mean()))

    @cached_property
    def margin(self) -> float:
        """The least of all figures relative to what is required: from 1 up all is well."""
        distances = (self.thickness, *self.to_holes, *self.tips)
        ratios = [
            self.under_head.value / self.required.under_head,
            self.edge.value / self.required.edge,
            *(each.value / self.required.thickness for each in distances),
        ]
        least = min(ratios) + 1e-9 - self.bare.value
        return least if self.blocked is None else min(least, 0.0) - 1.0

    @property
    def worth(self) -> float:
        """The lever, in shares of `LEVER`, less what is short of the requirements."""
        lever = float(self.around.lever(self.hole.x, self.hole.y)) / LEVER
        return lever - SHORT * max(1.0 - self.margin, 0.0)


def _to_tip(hole: Hole, place: Floats, radius: float) -> Least:
    """Distance from the rim of the head's pocket to the rim of a cut tip."""
    height = float((place - hole.foot) @ np.array(hole.axis))
    away = float(np.linalg.norm(place - hole.on_axis(max(height, hole.mouth))))
    return Least(away - hole.pocket_radius - radius, place)
