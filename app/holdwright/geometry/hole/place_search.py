"""The search for a hole's place on the back of a hold, whatever the hole is.

A grid over the back is rated first; its best points are then refined one after another, each apart from those
before. What rates a place is the hole's own: a bore hands over its `BoreCriteria`, a wood screw its
`ScrewCriteria`.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats

SHORT = 4.0
"""What it costs to have nothing of something required; linear up to enough."""
GAIN = 1e-9
"""A step of a climb counts where it rates so much better."""


class PlaceCriteria(ABC):
    """What rates the places of one hole on one hold; greater is better."""

    @property
    @abstractmethod
    def apart(self) -> float:
        """Least distance between two places, mm."""

    @abstractmethod
    def over_grid(self) -> tuple[Floats, Floats, Floats]:
        """Give x and y of the grid's points, mm, and their ratings, of one shape; -inf off the back."""

    def best_point(self, x: Floats, y: Floats, rating: Floats) -> Floats:
        """Choose the point (2,) of the grid to refine."""
        best = np.unravel_index(int(np.argmax(rating)), rating.shape)
        return np.array([x[best], y[best]])

    def refined(self, start: Floats, others: Floats) -> Floats:
        """Move a point (2,) of the grid to the best place near it, apart from others (n, 2)."""
        del others
        return start


def best_places(
    criteria: PlaceCriteria, least: float = -np.inf, known: Iterable[Floats] = ()
) -> Iterator[Floats]:
    """Give the best places (2,), mm, best of the grid first, until all of it is taken.

    Parameters
    ----------
    least
        The grid rates as much where a place is still looked for.
    known
        Best places found already, in that order: they are not given again.
    """
    x, y, rating = criteria.over_grid()
    rating, found, known = rating.copy(), np.empty((0, 2)), iter(known)
    while (rating > least).any():
        place = next(known, None)
        if place is None:
            place = criteria.refined(criteria.best_point(x, y, rating), found)
            yield place
        found = np.vstack([found, place])
        rating[np.hypot(x - place[0], y - place[1]) < criteria.apart] = -np.inf


@dataclass(frozen=True)
class Climb:
    """How a place is refined: by steps, ever shorter, in the direction that rates best.

    Ratings have narrow ridges. Where no direction is better, a fan of directions round the least bad one is
    tried, then a narrower one, before the step is halved.
    """

    longest: float
    shortest: float
    """Lengths of the steps, mm."""
    directions: int
    """Tried at once."""
    narrowings: int = 0
    """Ever narrower fans that are tried."""
    farthest: float = np.inf
    """From the start, mm."""
    hopeless: float = -np.inf
    enough: float = np.inf
    """Ratings below and from which nothing is tried."""
    digits: int | None = None
    """Decimals that places are rounded to; None for none."""

    def best_near(self, start: Floats, rate: Callable[[Floats], Floats]) -> Floats:
        """Climb from a place (2,), mm; `rate` gives the ratings (n,) of places (n, 2)."""
        step, centre, heading, narrowings = self.longest, self._rounded(start), 0.0, 0
        rating = float(rate(centre[None])[0])
        if rating < self.hopeless:
            return centre
        while step >= self.shortest and rating < self.enough and np.hypot(*(centre - start)) < self.farthest:
            fan = 2 * np.pi * (2 / self.directions) ** narrowings
            angle = heading + fan * (np.arange(self.directions) / self.directions - 0.5)
            places = self._rounded(centre + step * np.column_stack([np.cos(angle), np.sin(angle)]))
            ratings = rate(places)
            best = int(np.argmax(ratings))
            if ratings[best] > rating + GAIN:
                centre, rating, heading, narrowings = places[best], float(ratings[best]), 0.0, 0
            elif narrowings < self.narrowings:
                heading, narrowings = angle[best], narrowings + 1
            else:
                step, heading, narrowings = step / 2.0, 0.0, 0
        return np.asarray(centre)

    def _rounded(self, places: Floats) -> Floats:
        return places if self.digits is None else np.round(places, self.digits)
