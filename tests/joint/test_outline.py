"""Integrals over outlines and the pressure that balances a bolt, against brute force and closed forms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from holdwright.errors import GeometryError
from holdwright.geometry.measure.columns import Grid
from holdwright.joint.holding.pressure import ClampCone, Patches, balanced, settle
from holdwright.joint.outline import coverage, moments

SQUARE = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])


def ring(outer: float, inner: float, corners: int = 4096) -> list[np.ndarray]:
    angle = np.linspace(0.0, 2 * np.pi, corners, endpoint=False)
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    swell = math.sqrt(2 * math.pi / corners / math.sin(2 * math.pi / corners))
    return [outer * swell * circle, inner * swell * circle[::-1]] if inner else [outer * swell * circle]


def samples(outlines: list[np.ndarray], count: int = 400) -> tuple[np.ndarray, float]:
    """Points on a fine grid within outlines, and the area each stands for."""
    every = np.concatenate(outlines)
    low, high = every.min(axis=0), every.max(axis=0)
    step = (high - low) / count
    x, y = np.meshgrid(*(low[i] + step[i] * (np.arange(count) + 0.5) for i in (0, 1)))
    shape = shapely.Polygon(outlines[0], outlines[1:])
    inside = shapely.contains_xy(shape, x, y)
    return np.stack([x[inside], y[inside]], axis=1), float(step.prod())


def star(radii: list[float], off: tuple[float, float], hole: float) -> list[np.ndarray]:
    """A star-shaped outline, concave as it comes, with a hole in its middle, moved off the origin."""
    angle = np.linspace(0.0, 2 * np.pi, len(radii), endpoint=False)
    outline = np.array(radii)[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return [outline + off, ring(10.0, hole, 24)[1] + off]


stars = st.builds(
    star,
    st.lists(st.floats(20.0, 80.0), min_size=5, max_size=14),
    st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0)),
    st.floats(2.0, 8.0),
)


@settings(max_examples=15, deadline=None)
@given(stars)
def test_integrals_against_a_grid_of_points(outlines: list[np.ndarray]) -> None:
    points, cell = samples(outlines)
    whole = moments(outlines)
    near = 0.01 * max(80.0, float(np.hypot(*points.T).max()))
    assert whole.area == pytest.approx(cell * len(points), rel=0.01)
    assert whole.first / whole.area == pytest.approx(points.mean(axis=0), abs=near)
    assert whole.second / whole.area == pytest.approx(
        points.T @ points / len(points), rel=0.02, abs=near * near * 20
    )
    grid = Grid.over(points.min(axis=0), points.max(axis=0), 1.0)
    cells = coverage(outlines, grid)
    assert cells.max() <= 1.0 + 1e-9
    assert cells.sum() == pytest.approx(whole.area, rel=0.005)
    x, y = grid.places
    first = np.array([(cells * x).sum(), (cells * y).sum()])
    assert first / whole.area == pytest.approx(whole.first / whole.area, abs=0.1)


@settings(max_examples=15, deadline=None)
@given(stars, st.floats(20.0, 80.0))
@example(star([20.0, 32.0, 59.0, 21.0, 20.0], (19.0, 3.0), 2.0), 40.0)
@example(star([62.0, 20.0, 20.0, 20.0, 20.0, 38.0], (-25.0, 29.0), 2.0), 20.0)
def test_pressure_balances_the_bolt_and_never_pulls(outlines: list[np.ndarray], reach: float) -> None:
    hull, bolt = shapely.MultiPoint(np.concatenate(outlines)).convex_hull, shapely.Point(0, 0)
    if bolt.distance(hull.exterior) < 2.0:
        return  # all of the clamp on a few mm2: what squares cannot tell
    if not hull.contains(bolt):
        with pytest.raises(GeometryError, match="rock"):
            settle(outlines, [ClampCone(0.0, 0.0, reach)])
        return
    found = settle(outlines, [ClampCone(0.0, 0.0, reach)])
    x, y = found.grid.places
    pressure = found.field * coverage(outlines, found.grid)
    assert pressure.min() >= 0.0
    assert pressure.sum() == pytest.approx(1.0, rel=1e-5)
    assert [(pressure * x).sum(), (pressure * y).sum()] == pytest.approx([0.0, 0.0], abs=1e-3)
    assert found.friction_radius == pytest.approx((pressure * np.hypot(x, y)).sum(), rel=1e-6)


def test_pressure_falls_to_a_known_share_at_the_edge_of_the_cone():
    found = settle(ring(100.0, 0.0), [ClampCone(0.0, 0.0, 40.0)])
    x, y = found.grid.places
    row = np.abs(y[:, 0]).argmin()
    met = np.interp([0.0, 20.0, 40.0], x[row], found.field[row])
    # 35 ** -(r / reach) ** 2, whose integral over the wall is the clamp.
    peak = math.log(35.0) / (math.pi * 40.0**2)
    assert met == pytest.approx([peak, peak * 35.0**-0.25, peak / 35.0], rel=0.04)
    assert found.friction_radius == pytest.approx(40.0 * math.sqrt(math.pi / math.log(35.0)) / 2, rel=0.005)
    assert found.share == pytest.approx(0.4**2, rel=0.03)


def test_a_wide_cone_beyond_the_kern_presses_like_a_stiff_footing():
    # A strip loaded at a third of its half length from the edge presses on three times that distance: the
    # triangle of pressure of any text on footings.
    strip = [np.array([(-10.0, -5.0), (50.0, -5.0), (50.0, 5.0), (-10.0, 5.0)])]
    found = settle(strip, [ClampCone(0.0, 0.0, 1e6)])
    x, y = found.grid.places
    middle = found.field[np.abs(y[:, 0]).argmin()]
    assert x[0, middle > 0].max() == pytest.approx(20.0, abs=1.0)
    assert middle.max() == pytest.approx(2.0 / (30.0 * 10.0), rel=0.03)


def test_several_bolts_are_the_sum_of_their_cones():
    block = [np.array([(-150.0, -40.0), (150.0, -40.0), (150.0, 40.0), (-150.0, 40.0)])]
    found = settle(block, [ClampCone(-80.0, 0.0, 35.0), ClampCone(80.0, 0.0, 35.0)])
    assert found.friction_radius == pytest.approx(81.0, abs=1.0)


def test_a_hollow_back_may_surround_a_bolt_that_touches_nothing():
    found = settle(ring(60.0, 42.0), [ClampCone(0.0, 0.0, 37.0)])
    assert 42.0 < found.friction_radius < 48.0


@pytest.mark.parametrize("off", [(41.5, 0.0), (300.0, 300.0)])
def test_a_bolt_outside_the_contact_rocks(off):
    with pytest.raises(GeometryError, match="does not surround its bolt"):
        settle([40.0 * SQUARE + off], [ClampCone(0.0, 0.0, 35.0)])


def test_a_bolt_whose_hole_is_wider_than_the_contact_rocks_as_well():
    with pytest.raises(GeometryError, match="does not surround"):
        settle([2.0 * SQUARE], [ClampCone(0.0, 0.0, 35.0, hole=5.5)])


def test_places_with_and_without_contact_are_told_apart():
    patches = Patches.within([40.0 * SQUARE])
    middles = np.array([[0.0, 0.0], [500.0, 0.0]])
    weights = patches.weights(*middles.T, np.full(2, 35.0), hole=5.5)
    weights[1] = patches.weights(np.zeros(1), np.zeros(1), np.full(1, 35.0), hole=200.0)
    carried, radii = balanced(patches, weights, middles)
    assert radii[0] > 5.5
    assert radii[1] == 0.0
    assert carried[0].sum() == pytest.approx(1.0)
    assert not carried[1].any()
