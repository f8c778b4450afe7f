"""Level sections, beside closed forms and the kernel's own slices."""

import numpy as np
import pytest

from holdwright.geometry.measure.sections import level_edges, stepped, stepped_near
from shapes import block, boulder, ring


def areas(start, end, level, count):
    """Area within each section, by Green's theorem over its edges, material to their left."""
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    return np.bincount(level, weights=cross / 2, minlength=count)


def test_block_and_ring_have_the_areas_of_their_closed_forms():
    heights = np.array([-1.0, 0.5, 20.0, 39.9, 41.0])
    start, end, level = level_edges(block().mesh, heights)
    assert areas(start, end, level, 5) == pytest.approx([0.0, 8000.0, 8000.0, 8000.0, 0.0])
    pipe = ring(40.0, 20.0)
    start, end, level = level_edges(pipe.mesh, np.array([10.0]))
    assert areas(start, end, level, 1)[0] == pytest.approx(np.pi * (40.0**2 - 20.0**2), rel=0.002)


@pytest.mark.parametrize("seed", range(4))
def test_lumpy_solids_have_the_areas_of_the_kernels_slices(seed):
    solid = boulder(seed=seed, segments=32)
    low, high = solid.bounds[:, 2]
    heights = np.linspace(low, high, 17)[1:-1]
    start, end, level = level_edges(solid.mesh, heights)
    sliced = [solid.kernel.slice(float(height)).area() for height in heights]
    assert areas(start, end, level, len(heights)) == pytest.approx(sliced, rel=1e-6)
    again, number = np.unique(np.round(np.vstack([start, end]), 9), axis=0, return_inverse=True)
    assert np.array_equal(np.sort(number[: len(start)]), np.sort(number[len(start) :])), "outlines close"
    assert len(again) <= len(start)


def test_steps_are_short_and_lie_on_their_edges():
    start, end = np.array([[0.0, 0.0], [5.0, 5.0]]), np.array([[3.0, 4.0], [5.0, 5.1]])
    points, edge = stepped(start, end, 1.0)
    assert edge.tolist() == [0, 0, 0, 0, 0, 1]
    assert points[:5] == pytest.approx(np.outer(np.arange(5) / 5, [3.0, 4.0]))
    assert points[5] == pytest.approx([5.0, 5.0])


def test_only_what_of_an_edge_is_near_is_stepped():
    """A line 3 mm from the origin is nearer than 5 mm for 4 mm to either side, by Pythagoras."""
    start, end = np.array([[-9e5, 3.0], [10.0, 10.0]]), np.array([[9e5, 3.0], [10.0, 11.0]])
    points, edge = stepped_near(start, end, 5.0, 0.5)
    assert set(edge.tolist()) == {0}
    assert points[:, 0].min() == pytest.approx(-4.0, abs=1e-6)
    assert points[:, 0].max() == pytest.approx(4.0, abs=0.5 + 1e-6)
    assert np.hypot(*points.T).min() == pytest.approx(3.0, abs=0.011)


@pytest.mark.parametrize("radius", [3.0, 50.0, 2500.0])
def test_far_away_steps_are_longer_and_the_least_distance_as_true(radius):
    """Of a polygon round a circle the middles of the sides lie on the circle."""
    turn = np.linspace(0.0, 2 * np.pi, 8)
    corners = radius / np.cos(np.pi / 7) * np.column_stack([np.cos(turn), np.sin(turn)])
    points, edge = stepped_near(corners[:-1], corners[1:], np.full(7, np.inf), 0.5)
    least = np.full(7, np.inf)
    np.minimum.at(least, edge, np.hypot(*points.T))
    assert least == pytest.approx(np.full(7, radius), abs=0.0106)
    assert (least >= radius - 1e-9).all()
    assert len(points) < 60.0 * np.sqrt(radius)
