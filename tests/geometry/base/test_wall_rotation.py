import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from holdwright.geometry.base.wall_rotation import about_z, to_wall

UNIT = st.integers(0, 10_000).map(lambda seed: Rotation.random(random_state=seed).as_matrix()[0])


@settings(deadline=None, max_examples=50)
@given(UNIT, st.floats(-360, 360))
def test_outward_goes_to_plus_z_by_a_rotation(outward, turn):
    rotation = to_wall(outward, turn)
    assert rotation @ outward == pytest.approx([0.0, 0.0, 1.0], abs=1e-8)
    assert rotation @ rotation.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(rotation) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("outward", "up"),
    [
        ((0, 0, 1), (0, 1, 0)),
        ((0, 0, -1), (0, 1, 0)),
        ((1, 0, 0), (0, 1, 0)),
        ((-1, 0, 0), (0, 1, 0)),
        ((0, 1, 0), (0, 0, -1)),
        ((0, -1, 0), (0, 0, 1)),
    ],
)
def test_up_comes_from_the_files_own_axes(outward, up):
    assert to_wall(np.array(outward, dtype=float)) @ up == pytest.approx([0.0, 1.0, 0.0])


def test_a_hold_that_is_right_already_is_not_turned_at_all():
    assert (to_wall(np.array([1e-12, -1e-13, 1.0])) == np.eye(3)).all()


def test_a_quarter_turn_is_exact_and_counter_clockwise_from_in_front():
    assert (about_z(90.0) @ [1.0, 0.0, 0.0] == [0.0, 1.0, 0.0]).all()
    assert (about_z(-90.0) @ [1.0, 0.0, 0.0] == [0.0, -1.0, 0.0]).all()
    assert (about_z(180.0) == np.diag([-1.0, -1.0, 1.0])).all()
    assert about_z(30.0) @ [1.0, 0.0, 0.0] == pytest.approx([np.sqrt(3) / 2, 0.5, 0.0])


def test_the_turn_changes_little_when_the_wall_does():
    outward = np.array([0.2, 0.3, 0.9])
    tilted = Rotation.from_rotvec([0.01, 0.0, -0.01]).apply(outward)
    change = Rotation.from_matrix(to_wall(outward / np.linalg.norm(outward)).T @ to_wall(tilted))
    assert change.magnitude() < 0.03
