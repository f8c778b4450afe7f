import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from holdwright.geometry.measure.envelope import before_wall, smallest_circle
from holdwright.geometry.mesh.frame import move_points
from shapes import boulder

COORDINATE = st.integers(-(10**9), 10**9).map(lambda micron: micron / 1e6)


def test_two_points_hold_the_circle_of_a_flat_triangle():
    circle = smallest_circle(np.array([[0.0, 0.0], [10.0, 0.0], [5.0, 1.0]]))
    assert (circle.x, circle.y, circle.diameter) == pytest.approx((5.0, 0.0, 10.0))


def test_three_points_hold_the_circle_of_an_equilateral_triangle():
    corners = 30.0 * np.array([[0.0, 1.0], [np.sqrt(3) / 2, -0.5], [-np.sqrt(3) / 2, -0.5]]) + [7.0, -3.0]
    circle = smallest_circle(corners)
    assert circle.centre == pytest.approx([7.0, -3.0])
    assert circle.diameter == pytest.approx(60.0)


@pytest.mark.parametrize(
    "points", [[[3.0, 4.0]], [[1.0, 1.0], [1.0, 1.0]], [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]]
)
def test_points_without_width_have_a_circle(points):
    points = np.array(points)
    circle = smallest_circle(points)
    assert circle.diameter == pytest.approx(float(np.linalg.norm(points[-1] - points[0])))


@settings(deadline=None, max_examples=60)
@given(hnp.arrays(np.float64, st.tuples(st.integers(2, 40), st.just(2)), elements=COORDINATE))
def test_the_circle_agrees_with_a_general_library(points):
    """Beside GEOS's minimum bounding circle, through shapely."""
    circle = smallest_circle(points)
    beyond = np.hypot(*(points - circle.centre).T).max() - circle.diameter / 2
    assert beyond <= 1e-9 * max(circle.diameter, 1.0)
    known = 2 * shapely.minimum_bounding_radius(shapely.MultiPoint(points))
    assert circle.diameter == pytest.approx(known, rel=1e-6, abs=1e-6)


def test_a_solid_before_the_wall_stands_on_it_with_its_circle_round_the_axis():
    solid = boulder()
    turned = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    matrix, circle = before_wall(solid.vertices, turned)
    points = move_points(matrix, solid.vertices)
    assert points[:, 2].min() == pytest.approx(0.0, abs=1e-12)
    placed = smallest_circle(points[:, :2])
    assert placed.centre == pytest.approx([0.0, 0.0], abs=1e-9)
    assert placed.diameter == pytest.approx(circle.diameter)
    assert np.hypot(points[:, 0], points[:, 1]).max() == pytest.approx(circle.diameter / 2)
