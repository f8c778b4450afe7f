"""Finding where a wood screw stops a hold from turning best.

A place is sound where the countersink has enough under it, the hole enough wall, the axis enough distance
from the edge of the back, and the driver room. Of sound places the one with the longest lever counts, that
is farthest from the middle of the bolts; it costs something to stand where the core or a cut tip is, and on
what faces up the wall, which hands hold on to. Where no place is sound, the least bad one is taken.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_fill_holes

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.height_grid import inner_distance, least_over_disc, most_over_disc
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.seat import HeadRule
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.geometry.mesh.frustum import turn_to
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

CELLS = 140
"""The grid has at most about this many points along the longer side of the hold."""

LEVELS = 14
"""Number of level sections, about."""

SHORT = 4.0
"""What it costs to have nothing of something required, in levers of `LEVER` mm; linear up to enough."""

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
"""Grid steps by which places are judged too strictly, since the grid is that coarse."""


Spot = tuple[tuple[float, float, float], float]
"""A place (x, y, z) on the hold and the radius of what is there, mm."""


@dataclass(frozen=True)
class ScrewDemands:
    """What is required of a place, mm.

    Attributes
    ----------
    rule
        For the head.
    under_head
        Between countersink and back.
    wall
        Round the hole and round its head, to the outside and to other holes.
    edge
        From the axis to the edge of the back.
    driver
        Diameter free for the driver along the axis.
    """

    rule: HeadRule
    under_head: float
    wall: float
    edge: float
    driver: float


def worth(lever: float, margin: float) -> float:
    """Tell what a place is worth by its lever in mm and its least figure relative to its demand."""
    return lever / LEVER - SHORT * max(1.0 - margin, 0.0)


@dataclass(frozen=True)
class Crowd:
    """What a screw hole keeps away from.

    Attributes
    ----------
    middle
        (x, y) of the bolts, from which the lever counts.
    holes
        Feet of bores and of other screw holes, and the radius of their pockets, mm: a wall is kept to them.
    spots
        Places on the hold and the radius round each that is taken, mm: cut tips, cores and collars to come.
    """

    middle: tuple[float, float]
    holes: tuple[Spot, ...] = ()
    spots: tuple[Spot, ...] = ()


def crowd_of(bores: Sequence[Hole], screws: Sequence[Hole], tips: Sequence[Spot], core: float) -> Crowd:
    """Put together what bores, other screws and cut tips keep free.

    Parameters
    ----------
    core
        Radius of a core in radii of its bore's pocket; of a collar in those of its head.
    """
    holes = [(hole.foot, hole.pocket_reach) for hole in (*bores, *screws)]
    cores = [(foot, core * radius) for foot, radius in holes]
    x, y = np.mean([bore.foot[:2] for bore in bores], axis=0) if bores else (0.0, 0.0)
    return Crowd((float(x), float(y)), tuple(holes), (*cores, *tips))


def screw_places(
    solid: Solid,
    hole: Hole,
    demands: ScrewDemands,
    crowd: Crowd,
    stop: Callable[[], None] = lambda: None,
) -> Iterator[tuple[float, float]]:
    """Give places (x, y) on the back for a screw hole of this shape and axis, best first, 2 heads apart.

    Parameters
    ----------
    crowd
        What to keep away from.
    stop
        Called between the levels; may raise.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0.
    """
    field = _Field.of(solid, hole)
    base = field.base
    if not base.any():
        raise GeometryError("The hold has no flat back on z = 0 to set a screw in; trim its back first.")
    x, y = field.feet
    score = np.where(base, field.score(demands, crowd, base, stop), -np.inf)
    while np.isfinite(score).any():
        best = np.unravel_index(int(np.argmax(score)), score.shape)
        place = (float(x[best]), float(y[best]))
        yield place
        score[np.hypot(x - place[0], y - place[1]) < 2.0 * hole.pocket_diameter] = -np.inf


@dataclass(frozen=True, eq=False)
class _Field:
    """A hold as columns along the screw's axis, over all of it."""

    hole: Hole
    turn: Floats
    columns: Columns

    @classmethod
    def of(cls, solid: Solid, hole: Hole) -> "_Field":
        turn = turn_to(np.array(hole.axis)).T
        points = solid.vertices @ turn.T
        low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
        step = max(1.0, float((high - low).max()) / CELLS)
        return cls(hole, turn, columns(Mesh(points, solid.triangles), Grid.over(low, high, step)))

    @property
    def step(self) -> float:
        return self.columns.grid.step

    @property
    def back(self) -> Floats:
        """Height of the finished back on each column."""
        u, v = self.columns.grid.places
        normal = self.turn[:, 2]
        return np.asarray(-(u * normal[0] + v * normal[1]) / normal[2])

    @property
    def base(self) -> np.ndarray:
        """Columns that start on the back."""
        low, back = self.columns.first[0], self.back
        with np.errstate(invalid="ignore"):
            return np.asarray(low <= back + _ON_BACK * max(1.0, self.step))

    @property
    def feet(self) -> tuple[Floats, Floats]:
        """Where each column meets the finished back: x and y."""
        u, v = self.columns.grid.places
        feet = np.stack([u, v, self.back], axis=-1) @ self.turn
        return feet[..., 0], feet[..., 1]

    def score(
        self, demands: ScrewDemands, crowd: Crowd, base: np.ndarray, stop: Callable[[], None]
    ) -> Floats:
        """Judge all columns; see the head of this module."""
        step, head = self.step, self.hole.pocket_radius
        back = self.back
        top = np.nan_to_num(self.columns.first[1] - back, nan=0.0)
        lowest = least_over_disc(top, head / step + 0.5)
        seat = lowest - demands.rule.below - self.hole.cone_height
        under = np.minimum(seat, demands.rule.most)
        wall = (
            np.minimum(
                self._walls(back + np.maximum(under, lowest - demands.wall), stop),
                self._wall_at_seat(top, lowest - under),
            )
            - self.hole.hole_radius
        )
        wall = np.minimum(wall, self._apart(crowd.holes) - head)
        edge = inner_distance(binary_fill_holes(base), step)
        ratios = np.stack(
            [
                under / demands.under_head,
                (wall - _SLACK * step) / demands.wall,
                (edge - _SLACK * step) / demands.edge,
            ]
        )
        short = np.maximum(1.0 - ratios, 0.0).sum(axis=0)
        blocked = most_over_disc(self.columns.above_first, demands.driver / 2.0 / step + 1.0) > 0.0
        x, y = self.feet
        lever = np.hypot(x - crowd.middle[0], y - crowd.middle[1]) / LEVER
        cost = SHORT * short + BLOCKED * blocked + GRIP * _facing_up(top, step)
        return np.asarray(lever - cost - CROWDED * self._crowding(crowd.spots))

    def _walls(self, seat: Floats, stop: Callable[[], None]) -> Floats:
        """Least distance of each column from the outside, on levels up to its seat; 0 outside."""
        heights, apart = np.linspace(float(self.back.min()), float(seat.max()), LEVELS + 1, retstep=True)
        least = np.full(seat.shape, np.inf)
        for height in heights[1:]:
            stop()
            # The lowest level above the back always counts, so that thin places are judged too.
            counts = (height > self.back) & (height <= np.maximum(seat, self.back + apart))
            away = inner_distance(self.columns.filled(float(height) - 1e-3), self.step)
            least = np.where(counts, np.minimum(least, away), least)
        return least

    def _wall_at_seat(self, top: Floats, depth: Floats) -> Floats:
        """Distance from the axis to the outside at the seat, by how steep the surface over the head is."""
        dy, dx = np.gradient(top, self.step)
        head = self.hole.pocket_radius
        steep = most_over_disc(np.hypot(dx, dy), head / self.step)
        return np.asarray(head + depth / np.maximum(steep, 1e-6))

    def _apart(self, holes: Sequence[Spot]) -> Floats:
        """Distance of each column from the pockets of other holes; infinite without any."""
        least = np.full(self.columns.grid.shape, np.inf)
        for place, radius in holes:
            least = np.minimum(least, self._from(place) - radius)
        return least

    def _crowding(self, spots: Sequence[Spot]) -> Floats:
        """Share of the way into what is taken, 0 outside and up to 1."""
        inside = np.zeros(self.columns.grid.shape)
        for place, radius in spots:
            inside = np.maximum(inside, 1.0 - self._from(place) / (radius + self.hole.pocket_diameter))
        return inside

    def _from(self, place: tuple[float, float, float]) -> Floats:
        """Distance of each column from the column through a place."""
        u, v = self.columns.grid.places
        here = self.turn @ np.array(place)
        return np.asarray(np.hypot(u - here[0], v - here[1]))


def _facing_up(top: Floats, step: float) -> Floats:
    """Tell how far the surface faces up the wall: the y part of its unit normal, 0 where it faces down."""
    dy, dx = np.gradient(top, step)
    return np.asarray(np.maximum(-dy / np.sqrt(1.0 + dx * dx + dy * dy), 0.0))
