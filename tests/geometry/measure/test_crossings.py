"""Crossings of upright lines: exact where lines run through corners, edges, upright and level faces."""

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.measure.crossings import crossings_of, unrolled
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, ring

SHAPE = (60, 55)


@pytest.mark.parametrize("rounded_to", [1.0, 0.5, 0.25])
@pytest.mark.parametrize(
    "solid", [boulder(20.0, 0.3, seed=3), ring(20.0, 10.0, 10.0)], ids=["boulder", "ring"]
)
def test_lines_leave_a_closed_surface_as_often_as_they_enter_it(solid, rounded_to):
    # Rounded vertices put lines through very many corners and edges, and make triangles of no area.
    points = np.round(solid.vertices / rounded_to) * rounded_to + np.array([30.0, 25.0, 0.0])
    met = crossings_of(points, solid.triangles, SHAPE)
    left_over = np.bincount(met.column, weights=met.step, minlength=SHAPE[0] * SHAPE[1])
    assert len(met.height) > 1000
    assert not left_over.any()
    # What lies between the crossings is the volume, summed line by line.
    assert -(met.step * met.height).sum() == pytest.approx(solid.volume, rel=0.05)


def test_each_line_of_a_block_enters_at_its_bottom_and_leaves_at_its_top():
    solid = block(4.0, 3.0, 2.0)
    met = crossings_of(solid.vertices + np.array([4.0, 2.5, 1.0]), solid.triangles, (9, 9))
    entered = met.step == 1
    # Half open: faces at x = 2 and y = 1 belong to it, those at x = 6 and y = 4 do not.
    expected = {(x, y) for x in range(2, 6) for y in range(1, 4)}
    for chosen, height in ((entered, 1.0), (~entered, 3.0)):
        lines = list(zip(met.x[chosen].tolist(), met.y[chosen].tolist(), strict=True))
        assert len(lines) == 12
        assert set(lines) == expected
        assert (met.height[chosen] == height).all()


def test_heights_on_a_slope_and_beyond_the_grid():
    # A wedge with its top at z = x / 2, far larger than the grid of 3 x 2 lines.
    corners = [(-100, -50, 0), (100, -50, 0), (-100, 50, 0), (100, 50, 0)]
    corners += [(x, y, 60 + x / 2) for x, y, _ in corners]
    wedge = Solid.checked(Manifold.hull_points(np.array(corners, dtype=float)))
    met = crossings_of(wedge.vertices, wedge.triangles, (3, 2))
    out = met.step == -1
    np.testing.assert_allclose(met.height[out], 60 + met.x[out] / 2, rtol=0, atol=1e-12)
    assert sorted(met.column[out].tolist()) == [0, 1, 2, 3, 4, 5]


def test_ends_a_hair_apart_give_no_nonsense():
    tiny = np.nextafter(0.0, 1.0)
    points = np.array([[0.0, 0, 0], [tiny, 0, 5], [0, tiny, 9], [0, 0, -4]])
    triangles = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    met = crossings_of(points, triangles, (2, 2))
    assert np.isfinite(met.height).all()
    assert ((met.height >= -4) & (met.height <= 9)).all()
    assert met.step.sum() == 0


def test_ranges_are_counted_out():
    owner, number = unrolled(np.array([2, 0, 3]), np.array([7, 8, -1]))
    assert owner.tolist() == [0, 0, 2, 2, 2]
    assert number.tolist() == [7, 8, -1, 0, 1]
    assert unrolled(np.array([2, 0, 3]))[1].tolist() == [0, 1, 0, 1, 2]
