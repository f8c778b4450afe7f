"""Where on the back of a hold a wood screw stops it from turning best.

A place is sound where the countersink has enough under it, the hole enough material round it, the axis enough
distance from the edge of the back, and the driver room. Of sound places the one with the longest lever
counts, that is farthest from the middle of the bolts; it costs something to stand where the core or a cut
tip is, and on what faces up the wall, which hands hold on to. Where none is sound, the least bad one counts.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.ndimage import binary_fill_holes

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.height_grid import columns_over, inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.place_search import SHORT, PlaceCriteria
from holdwright.geometry.measure.columns import Columns
from holdwright.geometry.mesh.frustum import turn_to
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

CELLS = 140
"""The grid has at most about this many points along the longer side of the hold."""
LEVELS = 14
"""Number of level sections, about."""
LEVER = 40.0
"""Length of lever that counts as one, mm: what practice calls far (common practice, no source)."""
GRIP = 0.5
"""What it costs to stand on what faces straight up the wall, in levers."""
CROWDED = 1.0
"""What it costs to stand in the bolt's core, or in a cut tip, in levers."""
BLOCKED = 3.0
"""What it costs when the driver has no room, in levers."""
_ON_BACK = 0.05
_SLACK = 0.5
"""Grid steps by which places are rated too strictly, since the grid is that coarse."""

Spot = tuple[tuple[float, float, float], float]
"""A place (x, y, z) on the hold and the radius of what is there, mm."""


@dataclass(frozen=True)
class ScrewRequirements:
    """What is required of a screw's place, mm."""

    hole: Hole
    """Its sizes, cone and axis."""
    below: float
    most: float
    """Depth of the head, as of `seat.screw_seated`."""
    under_head: float
    """Thickness between countersink and back."""
    thickness: float
    """Round the hole and its head, to the outside and to other holes."""
    edge: float
    """From the axis to the edge of the back."""
    driver: float
    """Diameter free for the driver along the axis."""


@dataclass(frozen=True)
class Surroundings:
    """A hold before the cut, finished back on z = 0, mm, and what a screw hole is to be clear of."""

    solid: Solid
    bores: tuple[Hole, ...] = ()
    screws: tuple[Hole, ...] = ()
    tips: tuple[Spot, ...] = ()
    core: float = 1.0
    """Radius of a core in radii of its bore's pocket; of a collar in those of its head."""

    @property
    def holes(self) -> tuple[Spot, ...]:
        """Feet of bores and of other screw holes, and the reach of their pockets."""
        return tuple((hole.foot, hole.pocket_reach) for hole in (*self.bores, *self.screws))

    def lever(self, x: Floats | float, y: Floats | float) -> Floats:
        """Distance of places from the middle of the bolts, mm."""
        middle = np.mean([bore.foot[:2] for bore in self.bores], axis=0) if self.bores else (0.0, 0.0)
        return np.asarray(np.hypot(x - middle[0], y - middle[1]))


@dataclass(frozen=True, eq=False)
class ScrewCriteria(PlaceCriteria):
    """Rates the places of one wood screw, on columns along its axis over all of the hold."""

    around: Surroundings
    """The hold."""
    required: ScrewRequirements
    """What is required of a place."""
    stop: Callable[[], None] = lambda: None
    """Called between the levels; may raise."""

    @property
    def apart(self) -> float:
        """Two heads."""
        return 2.0 * self.required.hole.pocket_diameter

    def over_grid(self) -> tuple[Floats, Floats, Floats]:
        """Rate every column on the back; see the head of this module.

        Raises
        ------
        GeometryError
            When the hold has no base on z = 0.
        """
        low, back, step = self._columns.first[0], self._back, self._step
        with np.errstate(invalid="ignore"):
            base = low <= back + _ON_BACK * max(1.0, step)
        if not base.any():
            raise GeometryError("The hold has no flat back on z = 0 to set a screw in; trim its back first.")
        u, v = self._columns.grid.places
        x, y = np.moveaxis(np.stack([u, v, back], axis=-1) @ self._turn, -1, 0)[:2]
        top = np.nan_to_num(self._columns.first[1] - back, nan=0.0)
        edge = inner_distance(binary_fill_holes(base), step)
        short = np.maximum(1.0 - self._ratios(top, edge), 0.0).sum(axis=0)
        blocked = most_over_disc(self._columns.above_first, self.required.driver / 2.0 / step + 1.0) > 0.0
        dy, dx = np.gradient(top, step)
        # The y part of the surface's unit normal; 0 where it faces down the wall.
        facing_up = np.maximum(-dy / np.sqrt(1.0 + dx * dx + dy * dy), 0.0)
        cost = SHORT * short + BLOCKED * blocked + GRIP * facing_up
        rating = self.around.lever(x, y) / LEVER - cost - CROWDED * self._crowding()
        return x, y, np.where(base, rating, -np.inf)

    @cached_property
    def _turn(self) -> Floats:
        return turn_to(np.array(self.required.hole.axis)).T

    @cached_property
    def _columns(self) -> Columns:
        solid = self.around.solid
        return columns_over(Mesh(solid.vertices @ self._turn.T, solid.triangles), CELLS)

    @property
    def _step(self) -> float:
        return self._columns.grid.step

    @cached_property
    def _back(self) -> Floats:
        """Height of the finished back on each column."""
        u, v = self._columns.grid.places
        normal = self._turn[:, 2]
        return np.asarray(-(u * normal[0] + v * normal[1]) / normal[2])

    def _ratios(self, top: Floats, edge: Floats) -> Floats:
        """Thickness under the head, thickness round the hole and edge distance by what is required."""
        required, step, head = self.required, self._step, self.required.hole.pocket_radius
        lowest = least_over_disc(top, head / step + 0.5)
        under = np.minimum(lowest - required.below - self.required.hole.cone_height, required.most)
        seat = self._back + np.maximum(under, lowest - required.thickness)
        # At the seat the outside is as far away as the surface over the head is gentle.
        dy, dx = np.gradient(top, step)
        steep = most_over_disc(np.hypot(dx, dy), head / step)
        at_seat = head + (lowest - under) / np.maximum(steep, 1e-6)
        round_hole = np.minimum(self._to_outside(seat), at_seat) - self.required.hole.hole_radius
        for place, radius in self.around.holes:
            round_hole = np.minimum(round_hole, self._from(place) - radius - head)
        slack = _SLACK * step
        round_hole, edge = (round_hole - slack) / required.thickness, (edge - slack) / required.edge
        return np.stack([under / required.under_head, round_hole, edge])

    def _to_outside(self, seat: Floats) -> Floats:
        """Least distance of each column from the outside, on levels up to its seat; 0 outside."""
        heights, apart = np.linspace(float(self._back.min()), float(seat.max()), LEVELS + 1, retstep=True)
        least = np.full(seat.shape, np.inf)
        for height in heights[1:]:
            self.stop()
            # The lowest level above the back always counts, so that thin places are rated too.
            counts = (height > self._back) & (height <= np.maximum(seat, self._back + apart))
            away = inner_distance(self._columns.filled(float(height) - 1e-3), self._step)
            least = np.where(counts, np.minimum(least, away), least)
        return least

    def _crowding(self) -> Floats:
        """Share of the way into cores, collars and cut tips: 0 outside and up to 1."""
        inside = np.zeros(self._columns.grid.shape)
        cores = [(foot, self.around.core * radius) for foot, radius in self.around.holes]
        for place, radius in (*cores, *self.around.tips):
            reach = radius + self.required.hole.pocket_diameter
            inside = np.maximum(inside, 1.0 - self._from(place) / reach)
        return inside

    def _from(self, place: tuple[float, float, float]) -> Floats:
        """Distance of each column from the column through a place."""
        u, v = self._columns.grid.places
        here = self._turn @ np.array(place)
        return np.asarray(np.hypot(u - here[0], v - here[1]))
