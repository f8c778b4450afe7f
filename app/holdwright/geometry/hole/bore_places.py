"""Where on the back of a hold a bore goes by the hold's shape.

Each place has several figures, each taken relative to what is required of it: the thickness a seat could have
under it, the thickness round clearance hole, seat and pocket, the distance from the edge of the back and from
what overhangs, and further criteria such as how well the hold would stay put. The least of them is the
place's margin: 1 is just enough, more is better, but twice as much is not twice as good: above 1 its
logarithm counts, below 1 what is short counts fourfold. From that a slight pull towards the centre of the
base is taken, which settles ties and keeps the place where it is when a sculpt is revised a little.

The whole base is rated on a grid of 1 mm; the best points of it are then moved freely, in ever shorter steps,
on heights taken between grid points and on the true outlines of level sections.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice

import numpy as np
from scipy.ndimage import maximum_filter

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.height_grid import HeightGrid
from holdwright.geometry.hole.place_figures import LIMITS, BoreRequirements, Limit, PlaceFigures
from holdwright.geometry.hole.place_search import SHORT, Climb, PlaceCriteria, best_places
from holdwright.geometry.measure.columns import Grid
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import SILENT, Progress

PULL = 0.4
"""Worth of moving from the rim of the base to its centre."""
STARTS = 40
"""Peaks of the rating on the grid that are rated exactly before the best of them is refined."""


@dataclass(frozen=True, eq=False)
class Criterion:
    """A further criterion: its figures (n,) for places (n, 2), mm, and the figure that is required."""

    name: Limit
    figures: Callable[[Floats], Floats]
    required: float

    def ratios(self, places: Floats) -> Floats:
        """Give the figures of places relative to what is required."""
        return np.asarray(self.figures(places) / self.required)


class Rated:
    """Something rated by several figures at once."""

    ratios: Mapping[Limit, float]

    @property
    def limited_by(self) -> Limit:
        """Which figure is least, relative to what is required of it."""
        return next(iter(self.ratios))

    @property
    def margin(self) -> float:
        """The least ratio: 1 is everything as required."""
        return self.ratios[self.limited_by]


@dataclass(frozen=True)
class Place(Rated):
    """A place for a bore."""

    x: float
    y: float
    seat: float
    """Place, and height of the seat, mm."""
    values: Mapping[Limit, float] = field(repr=False)
    """mm, as of `PlaceFigures`."""
    ratios: Mapping[Limit, float] = field(repr=False)
    """Each figure relative to what is required of it, least first."""


@dataclass(frozen=True, eq=False)
class PlaceField:
    """Margins over the base: (rows, columns) over a grid, NaN off the base."""

    grid: Grid
    margin: Floats


@dataclass(frozen=True, eq=False)
class BoreCriteria(PlaceCriteria):
    """Rates the places of one upright bore on a hold, finished back on z = 0, mm."""

    bore: BoreRequirements
    ground: HeightGrid
    shape_margin: Floats
    """(rows, columns) least ratio over the grid of what the shape is rated by."""
    seats: Floats = field(repr=False)
    """(rows, columns) heights of the seat over the grid, mm."""
    further: tuple[Criterion, ...] = ()

    @classmethod
    def of(cls, solid: Solid, bore: BoreRequirements) -> "BoreCriteria":
        """Rate the whole base; distances are good to about half a grid step.

        Raises
        ------
        GeometryError
            When the hold has no base on z = 0.
        """
        ground = HeightGrid.of(solid)
        if not ground.base.any():
            raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its back first.")
        figures = PlaceFigures.over_grid(ground, bore)
        return cls(bore, ground, figures.ratios.min(axis=0), figures.seat)

    @property
    def apart(self) -> float:
        """A pocket."""
        return self.bore.hole.pocket_diameter

    @cached_property
    def field(self) -> PlaceField:
        """The margins over the base."""
        margin = self.shape_margin
        for criterion in self.further:
            ratio = np.zeros(margin.shape)
            ratio[self.ground.base] = criterion.ratios(self.ground.base_places)
            margin = np.minimum(margin, ratio)
        return PlaceField(self.ground.grid, np.where(self.ground.base, margin, np.nan))

    def seats_at(self, places: Floats) -> Floats:
        """Heights of the seat at places (n, 2), mm."""
        return self.ground.between(self.seats, *places.T)

    @property
    def base_margins(self) -> tuple[Floats, Floats]:
        """Places (n, 2) all over the base, mm, and their margins (n,)."""
        return self.ground.base_places, self.field.margin[self.ground.base]

    def over_grid(self) -> tuple[Floats, Floats, Floats]:
        """Rate every point of the grid."""
        x, y = self.ground.grid.places
        base = self.ground.base
        return x, y, np.where(base, self.rating(np.where(base, self.field.margin, 0.0), x, y), -np.inf)

    @property
    def highest(self) -> float:
        """Best rating of the grid."""
        return float(self.over_grid()[2].max())

    def best_point(self, x: Floats, y: Floats, rating: Floats) -> Floats:
        """Choose among the grid's peaks by exact rating: the grid's own is good to half a step only."""
        peaks = np.flatnonzero((rating == maximum_filter(rating, size=5)) & np.isfinite(rating))
        peaks = peaks[np.argsort(-rating.reshape(-1)[peaks], kind="stable")[:STARTS]]
        places = np.column_stack([x.reshape(-1)[peaks], y.reshape(-1)[peaks]])
        return np.asarray(places[np.argmax(self.rated(places))])

    def refined(self, start: Floats, others: Floats) -> Floats:
        """Climb to the best place near a point of the grid."""

        def rate(places: Floats) -> Floats:
            off = places[:, None] - others
            near = np.hypot(off[..., 0], off[..., 1]).min(axis=1, initial=np.inf) < self.apart
            return np.where(near, -np.inf, self.rated(places))

        step = self.ground.grid.step
        return Climb(4.0 * step, step / 16.0, 24, narrowings=2, farthest=10.0 * step).best_near(start, rate)

    def rated(self, places: Floats) -> Floats:
        """Rate free places (n, 2)."""
        return self.rating(self.margins(places), *places.T)

    def margins(self, places: Floats) -> Floats:
        """Give the margins (n,) of free places (n, 2)."""
        return np.asarray(self._ratios(PlaceFigures.at(self.ground, self.bore, places), places).min(axis=0))

    def rating(self, margin: Floats, x: Floats, y: Floats) -> Floats:
        """Worth of margins, less what the distance from the centre of the base costs."""
        centre = self.ground.base_centre
        reach = np.sqrt(self.ground.base_area / np.pi)
        return worth(margin, np.hypot(x - centre[0], y - centre[1]) / reach)

    def place(self, x: float, y: float) -> Place:
        """Measure a free place, mm."""
        at = np.array([[x, y]])
        figures = PlaceFigures.at(self.ground, self.bore, at)
        limits = (*LIMITS, *(criterion.name for criterion in self.further))
        ratios = dict(zip(limits, self._ratios(figures, at)[:, 0].tolist(), strict=True))
        values = {limit: float(value[0]) for limit, value in figures.values.items()}
        least_first = {limit: ratios[limit] for limit in sorted(ratios, key=lambda limit: ratios[limit])}
        return Place(float(x), float(y), float(figures.seat[0]), values, least_first)

    def best(
        self,
        count: int = 3,
        progress: Progress = SILENT,
        least: float = -np.inf,
        known: Iterable[Place] = (),
    ) -> tuple[Place, ...]:
        """Find the best places, best first, at most so many; only the first is sure to come.

        The rest is as of `best_places`; `known` counts among the places.
        """
        found = [np.array([place.x, place.y]) for place in known]
        for place in islice(best_places(self, least, tuple(found)), count - len(found)):
            progress.report((len(found) + 1) / count, "looking for the best places")
            found.append(place)
        order = np.argsort(-self.rated(np.array(found)), kind="stable")
        return tuple(self.place(*found[number]) for number in order)

    def _ratios(self, figures: PlaceFigures, places: Floats) -> Floats:
        return np.stack([*figures.ratios, *(criterion.ratios(places) for criterion in self.further)])


def worth(margin: Floats | float, far: Floats | float) -> Floats:
    """Rate places by margin and by how far they are from the base's centre, as a share of its reach."""
    short, ample = np.minimum(margin - 1.0, 0.0), np.log(np.maximum(margin, 1.0))
    return np.asarray(SHORT * short + ample - PULL * far)
