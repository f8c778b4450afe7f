"""The search for a place and its climb, on ratings whose best places are known."""

from itertools import pairwise

import numpy as np
import pytest

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.place_search import Climb, PlaceCriteria, best_places


class TwoHills(PlaceCriteria):
    """Hills at (3, 0), 2 high, and at (-4, 1), 1 high, rated within 5 mm of x = 0."""

    apart = 2.5

    def over_grid(self) -> tuple[Floats, Floats, Floats]:
        x, y = np.meshgrid(np.arange(-8.0, 9.0), np.arange(-3.0, 4.0))
        hills = np.maximum(2.0 - np.hypot(x - 3.0, y), 1.0 - np.hypot(x + 4.0, y - 1.0))
        return x, y, np.where(np.abs(x) <= 5.0, hills, -np.inf)


def test_places_come_best_first_apart_and_only_where_there_is_a_rating():
    places = [tuple(place) for place in best_places(TwoHills())]
    assert places[:2] == [(3.0, 0.0), (-4.0, 1.0)]
    assert all(abs(x) <= 5.0 for x, _ in places)
    for number, (x, y) in enumerate(places):
        assert all(np.hypot(x - a, y - b) >= 2.5 for a, b in places[:number])


def test_places_known_do_not_come_again_and_poor_ones_not_at_all():
    assert [tuple(place) for place in best_places(TwoHills(), 0.5, [np.array([3.0, 0.0])])] == [(-4.0, 1.0)]
    assert [tuple(place) for place in best_places(TwoHills(), 1.0)] == [(3.0, 0.0)]


def test_a_climb_reaches_the_top_of_a_narrow_ridge():
    # Across the ridge, along (1, 2), a place loses 40 times what a step along it gains.
    def rate(places: Floats) -> Floats:
        along, across = places @ [1.0, 2.0], places @ [2.0, -1.0]
        return -np.abs(along - 5.0) - 40.0 * np.abs(across)

    place = Climb(4.0, 1.0 / 64.0, 24, narrowings=2).best_near(np.array([-3.0, -6.0]), rate)
    assert place == pytest.approx([1.0, 2.0], abs=0.02)


def test_a_climb_stops_where_it_is_good_enough_far_enough_or_hopeless():
    def rate(places: Floats) -> Floats:
        return np.asarray(places[:, 0])

    start = np.zeros(2)
    enough = Climb(1.0, 0.5, 8, enough=3.0).best_near(start, rate)
    assert enough == pytest.approx([3.0, 0.0], abs=1e-9)
    far = Climb(1.0, 0.5, 8, farthest=5.0).best_near(start, rate)
    assert far == pytest.approx([5.0, 0.0], abs=1e-9)
    assert Climb(1.0, 0.5, 8, hopeless=0.5).best_near(start, rate) == pytest.approx([0.0, 0.0])


def test_a_climb_rounds_each_place_it_tries():
    tried: list[Floats] = []

    def rated(places: Floats) -> Floats:
        return np.asarray(-np.hypot(places[:, 0] - 0.7, places[:, 1] - 0.7))

    def rate(places: Floats) -> Floats:
        tried.append(places)
        return rated(places)

    best = Climb(1.0, 0.25, 8, digits=1).best_near(np.array([0.04, 0.0]), rate)
    assert all(np.allclose(places, np.round(places, 1), atol=0.0) for places in tried)
    distances = [float(-rated(places).max()) for places in tried]
    assert min(distances) == pytest.approx(float(np.hypot(*(best - 0.7))))
    assert any(later < earlier for earlier, later in pairwise(distances))
