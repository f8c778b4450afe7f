"""What a screw hole meets: all that it is judged by, measured exactly."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_check import edge_distance
from holdwright.geometry.hole.hole_site import STEP, HoleSite, Least
from holdwright.geometry.hole.hole_walls import screw_walls
from holdwright.geometry.hole.screw_search import ScrewDemands, Spot
from holdwright.geometry.hole.seat import carried, lowest_over_head, screw_seated
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

BEYOND = 1.0
"""How far a screw's cutter goes on above the highest surface over the head, mm."""

UPWARD = 0.5
"""Least upward part of the unit normal of what faces up the wall: within 60 degrees."""

CLIMB, FINEST_CLIMB = 1.0, 0.5
"""Longest and shortest step by which a place found for a screw is moved, mm."""

HOPELESS = 0.6
"""Least figure relative to what is required, below which a place is not worth moving."""

_COMPASS = tuple((float(np.cos(turn)), float(np.sin(turn))) for turn in np.arange(8) * (np.pi / 4.0))


@dataclass(frozen=True, eq=False)
class Surroundings:
    """A hold before the cut, finished back on z = 0, mm, with the holes in it and its cut tips."""

    solid: Solid
    bores: tuple[Hole, ...] = ()
    screws: tuple[Hole, ...] = ()
    tips: tuple[Spot, ...] = ()

    def figures(self, hole: Hole, demands: ScrewDemands) -> "ScrewFigures":
        """Seat a screw by its rule; its figures tell what it meets.

        Raises
        ------
        GeometryError
            When there is no room for a countersink.
        """
        site = screw_site(self.solid.mesh, hole, demands.driver)
        return ScrewFigures(self, site, screw_seated(site, demands.rule), demands)


@dataclass(frozen=True, eq=False)
class ScrewFigures:
    """The figures of one seated screw hole, each measured when first asked for, mm."""

    around: Surroundings
    site: HoleSite
    hole: Hole
    demands: ScrewDemands

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
        return max(self._out, self.hole.mouth + self.demands.rule.below + BEYOND)

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
    def wall(self) -> Least:
        """Least wall between the hole and the outside."""
        return self._walls[0]

    @property
    def bores(self) -> tuple[Least, ...]:
        """Walls to each bore."""
        return self._walls[1][: len(self.around.bores)]

    @property
    def screws(self) -> tuple[Least, ...]:
        """Walls to each other screw hole."""
        return self._walls[1][len(self.around.bores) :]

    @cached_property
    def _walls(self) -> tuple[Least, tuple[Least, ...]]:
        others = (*self.around.bores, *self.around.screws)
        lowest, required = self._lowest.value, self.demands.wall
        return screw_walls(self.around.solid, self.hole, lowest, self.top, others, required)

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
        free = (self.site.radius <= self.demands.driver / 2.0).reshape(-1)
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
        x, y = site.columns.grid.places
        share = float(gripped.sum()) / float(site.pocket.sum())
        return Least(share, site.placed(x[gripped].mean(), y[gripped].mean(), site.high[gripped].mean()))

    @cached_property
    def margin(self) -> float:
        """The least of all figures relative to what is required: from 1 up all is well."""
        walls = (self.wall, *self.bores, *self.screws, *self.tips)
        ratios = [
            self.under_head.value / self.demands.under_head,
            self.edge.value / self.demands.edge,
            *(wall.value / self.demands.wall for wall in walls),
        ]
        least = min(ratios) + 1e-9 - self.bare.value
        return least if self.blocked is None else min(least, 0.0) - 1.0


def screw_site(surface: Mesh, hole: Hole, driver: float) -> HoleSite:
    """Measure the columns round a screw; `driver` is the diameter that is to be free for the driver, mm."""
    return HoleSite.of(surface, hole, max(hole.pocket_diameter, driver) / 2.0 + STEP)


def under_head(site: HoleSite, seat: float) -> Least:
    """Measure the least material between a seated countersink and the back."""
    low = np.where(carried(site), site.low, -np.inf)
    cell = int(np.argmax(low))
    height = float(low.flat[cell])
    return Least(seat - height, site.at_cell(cell, height))


def climbed(
    place: tuple[float, float], measured: Callable[[float, float], ScrewFigures]
) -> ScrewFigures | None:
    """Move a place found on a grid a little, until all there is as required or it gets no better.

    Parameters
    ----------
    place
        (x, y) to start from, mm.
    measured
        Measures a place; may raise GeometryError where there is no room.

    Returns
    -------
    ScrewFigures or None
        None where there is no room at all.
    """
    best = _tried(measured, *place)
    step = CLIMB
    if best is not None and best.margin < HOPELESS:
        return best
    while best is not None and best.margin < 1.0 and step >= FINEST_CLIMB:
        x, y = best.hole.x, best.hole.y
        around = [_tried(measured, x + step * c, y + step * s) for c, s in _COMPASS]
        better = max((each for each in around if each), key=lambda each: each.margin, default=best)
        if better.margin > best.margin + 1e-6:
            best = better
        else:
            step /= 2.0
    return best


def _to_tip(hole: Hole, place: Floats, radius: float) -> Least:
    """Distance from the rim of the head's pocket to the rim of a cut tip."""
    height = float((place - hole.foot) @ np.array(hole.axis))
    away = float(np.linalg.norm(place - hole.on_axis(max(height, hole.mouth))))
    return Least(away - hole.pocket_radius - radius, place)


def _tried(measured: Callable[[float, float], ScrewFigures], x: float, y: float) -> ScrewFigures | None:
    try:
        return measured(round(x, 2), round(y, 2))
    except GeometryError:
        return None
