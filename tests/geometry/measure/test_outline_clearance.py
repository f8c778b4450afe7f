import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from holdwright.geometry.measure.outline_clearance import clearance_between, inside


def star(seed: int, at: tuple[float, float]) -> np.ndarray:
    chance = np.random.default_rng(seed)
    angle = np.sort(chance.uniform(0.0, 2.0 * np.pi, 12))
    radius = chance.uniform(3.0, 10.0, 12)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1) + at


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 9999), st.integers(0, 9999), st.floats(-25, 25), st.floats(-25, 25))
def test_distances_and_what_lies_within_are_as_shapely_has_them(one, other, x, y):
    first, second = star(one, (0.0, 0.0)), star(other, (x, y))
    shapes = Polygon(first), Polygon(second)
    assert clearance_between(first, second) == pytest.approx(shapes[0].distance(shapes[1]), abs=1e-9)
    points = star(one + other, (0.5, 0.3))
    assert inside(first, points).tolist() == [shapes[0].contains(Point(each)) for each in points]


def test_one_within_the_other_is_no_distance():
    assert clearance_between(star(1, (0, 0)) * 5.0, star(2, (0, 0)) * 0.1) == 0.0
