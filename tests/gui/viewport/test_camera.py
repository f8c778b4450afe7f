"""Cameras: between places and pixels, and views that show what they should."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.gui.viewport.view_camera import FIRST, STEEPEST, VIEWS, Lens, Pose

SIZE = (800, 600)
degrees = st.floats(-180, 180)


def pose_of(azimuth: float, elevation: float = 10.0) -> Pose:
    return Pose(np.array([5.0, -3.0, 20.0]), azimuth, elevation, 600.0)


@settings(deadline=None, max_examples=25)
@given(azimuth=degrees, elevation=st.floats(-89, 89), x=st.floats(0, 800), y=st.floats(0, 600))
def test_a_line_of_sight_projects_back_to_its_pixel(azimuth, elevation, x, y):
    lens = Lens(pose_of(azimuth, elevation), SIZE)
    start, direction = lens.ray(x, y)
    for far in (10.0, 600.0):
        assert lens.project(start + direction * far)[0, :2] == pytest.approx([x, y], abs=1e-6)


@settings(deadline=None, max_examples=25)
@given(azimuth=degrees, factor=st.floats(0.3, 3.0))
def test_stepping_toward_a_place_keeps_its_pixel(azimuth, factor):
    place = np.array([30.0, 10.0, 40.0])
    before = pose_of(azimuth)
    after = before.closer(place, factor)
    seen = [Lens(pose, SIZE).project(place)[0] for pose in (before, after)]
    assert seen[1][:2] == pytest.approx(seen[0][:2], abs=1e-6)
    assert seen[1][2] == pytest.approx(factor * seen[0][2])


@settings(deadline=None, max_examples=25)
@given(turn=st.lists(st.tuples(degrees, degrees), max_size=8))
def test_up_on_the_wall_stays_up_on_screen(turn):
    pose = FIRST
    for azimuth, elevation in turn:
        pose = pose.turned(azimuth, elevation)
    assert abs(pose.elevation) <= STEEPEST
    assert pose.frame[1][1] > 0
    assert abs(pose.frame[0][1]) < 1e-12
    assert pose.frame @ pose.frame.T == pytest.approx(np.eye(3), abs=1e-12)


@pytest.mark.parametrize(
    ("view", "toward"),
    [
        ("front", [0, 0, 1]),
        ("back", [0, 0, -1]),
        ("left", [-1, 0, 0]),
        ("right", [1, 0, 0]),
        ("top", [0, 1, 0]),
        ("bottom", [0, -1, 0]),
    ],
)
def test_views_look_from_where_their_names_say(view, toward):
    assert pose_of(*VIEWS[view]).frame[2] == pytest.approx(toward, abs=0.005)


def test_a_pose_that_shows_a_far_smaller_thing_is_not_near():
    assert FIRST.is_near(FIRST.turned(90.0, 20.0).closer(np.zeros(3), 0.5))
    assert not FIRST.is_near(FIRST.closer(np.zeros(3), 0.001))
    assert not FIRST.is_near(FIRST.moved(2000.0, 0.0))


@pytest.mark.parametrize("view", sorted(VIEWS))
@pytest.mark.parametrize("size", [(800, 600), (300, 700)])
def test_a_fitted_view_shows_everything_within_its_margin(view, size):
    points = np.random.default_rng(1).normal(size=(200, 3)) * [60, 20, 30] + [900, -40, 7]
    pose = pose_of(*VIEWS[view]).fitted(points, size, 40.0)
    seen = Lens(pose, size).project(points)
    assert (seen[:, 2] > 0).all()
    assert (seen[:, :2] >= 40.0 - 1e-6).all()
    assert (seen[:, :2] <= np.array(size) - 40.0 + 1e-6).all()
    slack = np.concatenate([seen[:, :2] - 40.0, np.array(size) - 40.0 - seen[:, :2]]).min()
    assert slack < 0.12 * max(size)


def test_a_move_between_views_takes_the_short_way_round():
    half = pose_of(170.0).toward(pose_of(-170.0), 0.5)
    assert abs(half.azimuth) == pytest.approx(180.0)


def test_a_pixel_covers_what_the_lens_says():
    lens = Lens(pose_of(30.0), SIZE)
    place = lens.pose.target
    beside = place + lens.pose.frame[0] * 7.0
    pixels = lens.project(beside)[0, 0] - lens.project(place)[0, 0]
    assert pixels * lens.mm_per_pixel(place) == pytest.approx(7.0)
