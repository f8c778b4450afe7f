"""The turn at which a silhouette fits, beside closed forms, a fine search and shapely's rectangle."""

import numpy as np
import pytest
import shapely

from holdwright.geometry.measure.bed_fit import turn_to_fit


def turned(points: np.ndarray, degrees: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return points @ np.array([[c, s], [-s, c]])


def rectangle(width: float, depth: float) -> np.ndarray:
    return np.array([[0.0, 0.0], [width, 0.0], [width, depth], [0.0, depth]]) - [width / 3, depth]


def test_what_fits_as_it_is_stays():
    fit = turn_to_fit(rectangle(90.0, 50.0), (100.0, 60.0))
    assert (fit.turn, fit.spare) == (0.0, pytest.approx(10.0))


@pytest.mark.parametrize("askew", [0.0, 17.0, 90.0, 160.0])
def test_a_bar_fits_by_its_diagonal(askew):
    """A bar 130 by 4 mm in a square of 100: at 45 degrees its extents are 134 / sqrt(2)."""
    points = turned(rectangle(130.0, 4.0), askew)
    fit = turn_to_fit(points, (100.0, 100.0))
    assert (fit.width, fit.depth) == (pytest.approx(134.0 / 2**0.5), pytest.approx(134.0 / 2**0.5))
    assert np.ptp(turned(points, fit.turn), axis=0) == pytest.approx([fit.width, fit.depth])


@pytest.mark.parametrize("seed", range(10))
def test_best_turn_is_that_of_a_fine_search(seed):
    generator = np.random.default_rng(seed)
    points = generator.normal(size=(30, 2)) * [60.0, 25.0]
    bed = (float(generator.uniform(60, 200)), float(generator.uniform(60, 100)))
    fit = turn_to_fit(points, bed)
    spares = [min(np.subtract(bed, np.ptp(turned(points, each), axis=0))) for each in np.arange(0, 180, 0.02)]
    assert fit.spare >= max(spares) - 1e-9 or fit.turn == 0.0 <= fit.spare
    assert fit.spare == pytest.approx(max(spares), abs=0.05) or fit.turn == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_smallest_rectangle_round_it_is_enough(seed):
    points = np.random.default_rng(seed).normal(size=(40, 2)) * [50.0, 20.0]
    corners = np.array(shapely.MultiPoint(points).minimum_rotated_rectangle.exterior.coords)
    sides = np.hypot(*np.diff(corners, axis=0).T)[:2]
    assert turn_to_fit(points, tuple(sides + 1e-6)).spare >= 0.0
    assert turn_to_fit(points, tuple(sides - 0.5)).spare < 0.0 or sides.min() < 1.0
