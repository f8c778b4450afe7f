"""Finding the best place for a bore on the base of a hold.

Each place has several figures, each taken relative to what is required of it: the thickness a seat could have
under it, the walls round clearance hole, seat and pocket, the distance from the edge of the back and from
what overhangs, and whatever else is asked for, as how well the hold would stay put. The least of them is the
place's margin: 1 is just enough, more is better, but twice as much is not twice as good: above 1 its
logarithm counts, below 1 what is short counts fourfold. From that worth a slight pull towards the centre of
the base is taken, which settles ties and keeps the place where it is when a sculpt is revised a little. A
place whose pocket would cut through an overhanging lip has half of what is required at best.

The whole base is looked at on a grid of 1 mm; the best points of it are then moved freely, in ever shorter
steps, on heights taken between grid points and on the true outlines of level sections.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.ndimage import maximum_filter

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.height_grid import HeightGrid
from holdwright.geometry.hole.place_criteria import Figures, Limit, Standard, Wanted, at_places, over_grid
from holdwright.geometry.measure.columns import Grid
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import SILENT, Progress

SHORT = 4.0
"""How much more margin counts where it is less than enough."""
PULL = 0.4
"""Worth of moving from the rim of the base to its centre."""
STARTS = 40
"""Peaks of the margin on the grid that are judged exactly before the best of them is refined."""
DIRECTIONS = 24
"""Directions tried at once when a place is refined."""
NARROWINGS = 2
"""Ever narrower fans of directions tried before the step is shortened."""
COARSEST, FINEST = 4.0, 1.0 / 16.0
"""Longest and shortest step of the refining, in grid steps."""
FARTHEST = 10
"""A place is refined no farther than this from where it started, in grid steps."""


@dataclass(frozen=True)
class Place:
    """A place for a bore.

    Attributes
    ----------
    x, y, seat
        mm.
    cuts_lip
        Whether the pocket would cut through an overhanging lip.
    values
        mm, see `Figures`.
    ratios
        Each figure relative to what is required of it, least first.
    """

    x: float
    y: float
    seat: float
    cuts_lip: bool
    values: Mapping[Limit, float] = field(repr=False)
    ratios: Mapping[Limit, float] = field(repr=False)

    @property
    def limited_by(self) -> Limit:
        """Which figure is least, relative to what is required of it."""
        return next(iter(self.ratios))

    @property
    def margin(self) -> float:
        """The least ratio: 1 is everything as wanted."""
        return self.ratios[self.limited_by]


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
class _Search:
    """A hold and what is required, ready to judge places."""

    ground: HeightGrid
    wanted: Wanted

    @classmethod
    def on(cls, solid: Solid, wanted: Wanted) -> "_Search":
        ground = HeightGrid.of(solid)
        if not ground.base.any():
            raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its back first.")
        return cls(ground, wanted)

    def judge(self, places: Floats) -> tuple[Figures, Floats]:
        """Figures and scores of places (n, 2)."""
        figures = at_places(self.ground, self.wanted, places)
        return figures, self.score(figures, *places.T)

    def score(self, figures: Figures, x: Floats, y: Floats) -> Floats:
        """Worth of the margin, less what the distance from the centre costs."""
        centre = self.ground.base_centre
        reach = np.sqrt(self.ground.base_area / np.pi)
        return worth(figures.margin, np.hypot(x - centre[0], y - centre[1]) / reach)

    def field(self, figures: Figures) -> PlaceField:
        """Give the margins of figures over the grid."""
        margin = np.where(self.ground.base, figures.margin, np.nan)
        return PlaceField(self.ground.grid, margin, figures.cuts_lip)

    def place(self, at: Floats) -> Place:
        """Give the figures of a place (2,)."""
        figures, _ = self.judge(at[None, :])
        ratios = dict(zip(self.wanted.limits, figures.ratios[:, 0].tolist(), strict=True))
        return Place(
            x=float(at[0]),
            y=float(at[1]),
            seat=float(figures.seat[0]),
            cuts_lip=bool(figures.cuts_lip[0]),
            values={limit: float(value[0]) for limit, value in figures.values.items()},
            ratios={limit: ratios[limit] for limit in sorted(ratios, key=lambda limit: ratios[limit])},
        )


def worth(margin: Floats, far: Floats) -> Floats:
    """Judge places by margin and by how far they are from the base's centre, as a share of its reach."""
    short, ample = np.minimum(margin - 1.0, 0.0), np.log(np.maximum(margin, 1.0))
    return np.asarray(SHORT * short + ample - PULL * far)


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
    search = _Search.on(solid, wanted)
    return search.field(over_grid(search.ground, wanted))


def best_places(solid: Solid, wanted: Wanted, count: int = 3) -> tuple[Place, ...]:
    """Find the best places for a bore, best first.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm.
    wanted
        Limits must be greater than 0.
    count
        At most so many, each at least a pocket away from the others; only the first is sure to come.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0.
    """
    search = _Search.on(solid, wanted)
    return _best(search, over_grid(search.ground, wanted), count, SILENT)


@dataclass(frozen=True, eq=False)
class PlaceSurvey:
    """The margins over a base, its best places, and figures of places that were asked for."""

    field: PlaceField
    best: tuple[Place, ...]
    asked: tuple[Place, ...]


Weigh = Callable[[Floats, Floats], tuple[Standard, ...]]
"""Tells what else is asked for, from places (n, 2) all over the base, mm, and their margins (n,) so far."""


def survey(
    solid: Solid,
    wanted: Wanted,
    count: int = 3,
    asked: Sequence[tuple[float, float]] = (),
    progress: Progress = SILENT,
    weigh: Weigh | None = None,
) -> PlaceSurvey:
    """Give `place_field`, `best_places` and `margins_at` together, for the cost of the best places.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0.
    Cancelled
        When that is asked for.
    """
    progress.report(0.0, "looking over the back")
    search = _Search.on(solid, wanted)
    progress.report(0.3, "looking over the back")
    figures = over_grid(search.ground, wanted)
    if weigh is not None:
        places = np.stack(search.ground.grid.places, axis=-1)[search.ground.base]
        standards = weigh(places, figures.margin[search.ground.base])
        figures = figures.weighing(standards, search.ground)
        search = _Search(search.ground, figures.wanted)
    progress.report(0.6, "looking for the best places")
    best = _best(search, figures, count, progress.part(0.6, 1.0))
    judged = tuple(search.place(np.asarray(place, dtype=np.float64)) for place in asked)
    return PlaceSurvey(search.field(figures), best, judged)


def _best(search: _Search, figures: Figures, count: int, progress: Progress) -> tuple[Place, ...]:
    apart = search.wanted.pocket_diameter
    x, y = search.ground.grid.places
    score = np.where(search.ground.base, search.score(figures, x, y), -np.inf)
    found = np.empty((0, 2))
    while len(found) < count and np.isfinite(score).any():
        progress.report(len(found) / count, "looking for the best places")
        place = _refined(search, _start(search, score), found, apart)
        found = np.vstack([found, place])
        score[np.hypot(x - place[0], y - place[1]) < apart] = -np.inf
    order = np.argsort(-search.judge(found)[1], kind="stable")
    return tuple(search.place(found[number]) for number in order)


def margins_at(solid: Solid, wanted: Wanted, places: Sequence[tuple[float, float]]) -> tuple[Place, ...]:
    """Give the figures of chosen places (x, y), in the same terms as those that are found."""
    search = _Search.on(solid, wanted)
    return tuple(search.place(np.asarray(place, dtype=np.float64)) for place in places)


def _start(search: _Search, score: Floats) -> Floats:
    """Choose among the grid's peaks (2,) by exact judgement: the grid's own is good to half a step only."""
    peaks = np.flatnonzero((score == maximum_filter(score, size=5)) & np.isfinite(score))
    peaks = peaks[np.argsort(-score.reshape(-1)[peaks], kind="stable")[:STARTS]]
    x, y = search.ground.grid.places
    places = np.column_stack([x.reshape(-1)[peaks], y.reshape(-1)[peaks]])
    return np.asarray(places[np.argmax(search.judge(places)[1])])


def _refined(search: _Search, start: Floats, others: Floats, apart: float) -> Floats:
    """Climb from a grid point to the best place (2,) near it, in ever shorter steps; `apart` from `others`.

    The margin has narrow ridges. Where no direction is better, a fan of directions round the least bad one is
    tried, then a narrower one, before the step is shortened.
    """
    grid_step = search.ground.grid.step
    step, centre, heading, narrowings = COARSEST * grid_step, start, 0.0, 0
    while step >= FINEST * grid_step and np.hypot(*(centre - start)) < FARTHEST * grid_step:
        fan = 2 * np.pi * (2 / DIRECTIONS) ** narrowings
        angle = heading + fan * (np.arange(DIRECTIONS) / DIRECTIONS - 0.5)
        places = centre + step * np.vstack([[0.0, 0.0], np.column_stack([np.cos(angle), np.sin(angle)])])
        score = np.where(_away(places, others) >= apart, search.judge(places)[1], -np.inf)
        best = int(np.argmax(score[1:]))
        if score[1 + best] > score[0] + 1e-9:
            centre, heading, narrowings = places[1 + best], 0.0, 0
        elif narrowings < NARROWINGS:
            heading, narrowings = angle[best], narrowings + 1
        else:
            step, heading, narrowings = step / 2.0, 0.0, 0
    return np.asarray(centre)


def _away(places: Floats, others: Floats) -> Floats:
    """Distance (n,) of places (n, 2) from the nearest of others (m, 2)."""
    off = places[:, None] - others
    return np.asarray(np.hypot(off[..., 0], off[..., 1]).min(axis=1, initial=np.inf))
