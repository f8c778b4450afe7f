"""Integrals over outlines and the pressure that balances a bolt, against brute force and closed forms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from holdwright.errors import GeometryError
from holdwright.joint.outline import clipped, distance_moments, moments
from holdwright.joint.pressure import even_friction_radius, settle

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
    distance = np.hypot(*points.T)
    whole = moments(outlines)
    near = 0.01 * max(80.0, float(distance.max()))
    assert whole.area == pytest.approx(cell * len(points), rel=0.01)
    assert whole.first / whole.area == pytest.approx(points.mean(axis=0), abs=near)
    assert whole.second / whole.area == pytest.approx(
        points.T @ points / len(points), rel=0.02, abs=near * near * 20
    )
    first, drawn = distance_moments(outlines)
    assert first / whole.area == pytest.approx(float(distance.mean()), rel=0.01)
    assert drawn / whole.area == pytest.approx((points * distance[:, None]).mean(axis=0), rel=0.02, abs=40.0)


@settings(max_examples=15, deadline=None)
@given(stars)
@example(star([20.0, 32.0, 59.0, 21.0, 20.0], (19.0, 3.0), 2.0))
def test_linear_pressure_balances_the_bolt_and_never_pulls(outlines: list[np.ndarray]) -> None:
    hull = shapely.MultiPoint(np.concatenate(outlines)).convex_hull
    inside = shapely.Point(0, 0).distance(hull.exterior) if hull.contains(shapely.Point(0, 0)) else -1.0
    if inside < 0.0:
        with pytest.raises(GeometryError, match="rock"):
            settle(outlines)
        return
    if inside < 2.0:
        return  # all of the clamp on a few mm2: what a grid of points cannot tell
    found = settle(outlines)
    points, cell = samples(outlines, 800)
    pressure = np.maximum(found.plane[0] + points @ found.plane[1:], 0.0) * cell
    assert pressure.sum() == pytest.approx(1.0, rel=0.02)
    assert pressure @ points == pytest.approx(np.zeros(2), abs=1.0)
    assert found.friction_radius == pytest.approx(float(pressure @ np.hypot(*points.T)), rel=0.02)
    pressed = float((pressure > 0).mean())
    assert found.share == pytest.approx(pressed, abs=0.02)


def test_a_bolt_in_the_middle_has_even_pressure():
    for outlines in ([40.0 * SQUARE], ring(40.0, 5.5)):
        found = settle(outlines)
        assert found.share == pytest.approx(1.0)
        assert found.plane[1:] == pytest.approx(np.zeros(2), abs=1e-12)
        assert found.friction_radius == pytest.approx(even_friction_radius(outlines))


def test_a_bolt_beyond_the_kern_presses_on_part_of_the_back():
    # A strip loaded at a third of its half length from the edge presses on three times that distance: the
    # triangle of pressure of any text on footings.
    strip = [np.array([(-10.0, -5.0), (50.0, -5.0), (50.0, 5.0), (-10.0, 5.0)])]
    found = settle(strip)
    assert found.share == pytest.approx(30.0 / 60.0)
    assert max(outline[:, 0].max() for outline in found.pressed) == pytest.approx(20.0)
    assert found.plane[0] - 10.0 * found.plane[1] == pytest.approx(2.0 / (30.0 * 10.0))


def test_a_hollow_back_may_surround_a_bolt_that_touches_nothing():
    found = settle(ring(40.0, 25.0))
    assert found.friction_radius == pytest.approx(33.0769231, abs=1e-5)


@pytest.mark.parametrize("off", [(41.0, 0.0), (40.0, 0.0), (300.0, 300.0)])
def test_a_bolt_outside_the_contact_rocks(off):
    with pytest.raises(GeometryError, match="does not surround its bolt"):
        settle([40.0 * SQUARE + off])


def test_clipping_keeps_areas():
    plane = np.array([0.0, 1.0, 0.0])
    comb = np.array([(-2, -2), (2, -2), (2, -1), (-1, -1), (-1, 0), (2, 0), (2, 1), (-2, 1)], float)
    kept, lost = clipped([comb], plane), clipped([comb], -plane)
    assert moments(kept).area == pytest.approx(4.0)
    assert moments(kept).area + moments(lost).area == pytest.approx(moments([comb]).area)
    assert distance_moments(kept)[0] + distance_moments(lost)[0] == pytest.approx(distance_moments([comb])[0])
