"""Level sections, beside closed forms and the kernel's own slices."""

import numpy as np
import pytest

from holdwright.geometry.sections import level_edges, stepped
from shapes import block, boulder, ring


def areas(start, end, level, count):
    """Area within each section, by Green's theorem over its edges, material to their left."""
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    return np.bincount(level, weights=cross / 2, minlength=count)


def test_block_and_ring_have_the_areas_of_their_closed_forms():
    heights = np.array([-1.0, 0.5, 20.0, 39.9, 41.0])
    start, end, level = level_edges(block().vertices, block().triangles, heights)
    assert areas(start, end, level, 5) == pytest.approx([0.0, 8000.0, 8000.0, 8000.0, 0.0])
    pipe = ring(40.0, 20.0)
    start, end, level = level_edges(pipe.vertices, pipe.triangles, np.array([10.0]))
    assert areas(start, end, level, 1)[0] == pytest.approx(np.pi * (40.0**2 - 20.0**2), rel=0.002)


@pytest.mark.parametrize("seed", range(4))
def test_lumpy_solids_have_the_areas_of_the_kernels_slices(seed):
    solid = boulder(seed=seed, segments=32)
    low, high = solid.bounds[:, 2]
    heights = np.linspace(low, high, 17)[1:-1]
    start, end, level = level_edges(solid.vertices, solid.triangles, heights)
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
