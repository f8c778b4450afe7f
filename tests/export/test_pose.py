"""The turn on the bed, against shapely's smallest rectangle and figures by hand."""

import math

import numpy as np
import pytest
from shapely import MultiPoint

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.pose import print_pose, wall_pose
from holdwright.geometry.mesh.frame import move_points


def bar(length: float, width: float, turn: float) -> np.ndarray:
    """Corners of a bar, turned about its middle."""
    x, y = np.array([[1, 1], [1, -1], [-1, -1], [-1, 1]]).T * [[length / 2], [width / 2]]
    angle = math.radians(turn)
    return np.column_stack(
        [x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle)]
    )


@pytest.mark.parametrize("turn", [17.0, 63.0, 128.0])
def test_a_turned_bar_is_laid_along_a_narrow_bed(turn: float) -> None:
    points = bar(380, 100, turn)
    corners = np.column_stack([points, np.zeros(4)])
    bed = load_catalogue().machines[0]
    narrow = type(bed)(**{**vars(bed), "volume": (381.0, 101.0, 50.0)})
    pose = print_pose([corners], narrow)
    least = MultiPoint(points).minimum_rotated_rectangle.area
    assert pose.fits
    assert pose.size[0] * pose.size[1] == pytest.approx(least, rel=1e-6)
    moved = move_points(pose.matrix, corners)
    np.testing.assert_allclose(moved.min(axis=0) + moved.max(axis=0), [381, 101, 0], atol=1e-9)


def test_what_is_too_large_says_so() -> None:
    pose = print_pose([np.array([[0, 0, 5], [900, 900, 900.0]])], load_catalogue().machines[0])
    assert not pose.fits
    assert pose.turn == 0.0
    assert "larger than it builds" in pose.in_words


def test_parts_of_several_heights_are_laid_together() -> None:
    """The lowest point of all on the bed, the middle of all in its middle, and as far apart as before."""
    shell = np.array([[-10, -20, -2.0], [30, 20, 40.0]])
    core = np.array([[0, 0, 1.0], [10, 60, 20.0]])
    bed = load_catalogue().machines[0]
    pose = print_pose([shell, core], bed)
    assert (pose.turn, pose.size, pose.printer) == (0.0, (40, 80, 42), bed.name)
    laid = [move_points(pose.matrix, each) for each in (shell, core)]
    together = np.concatenate(laid)
    np.testing.assert_allclose(together.min(axis=0)[2], 0.0, atol=1e-12)
    np.testing.assert_allclose(
        (together.min(axis=0) + together.max(axis=0))[:2], np.array(bed.volume[:2]), atol=1e-9
    )
    np.testing.assert_allclose(laid[1] - laid[0], core - shell, atol=1e-9)
    assert pose.in_words == f"back on the bed of '{bed.name}'"


@pytest.mark.parametrize(("height", "fits"), [(50.0, True), (50.1, False)])
def test_height_counts_too(height: float, fits: bool) -> None:
    bed = type(load_catalogue().machines[0])(
        **{**vars(load_catalogue().machines[0]), "volume": (100, 100, 50)}
    )
    assert print_pose([np.array([[0, 0, 0], [99, 99, height]])], bed).fits is fits


def test_on_the_wall_nothing_is_moved() -> None:
    pose = wall_pose([np.array([[-60, -40, -1], [50, 40, 30.0]]), np.array([[0, 0, 0], [1, 1, 35.0]])])
    np.testing.assert_array_equal(pose.matrix, np.eye(4))
    assert pose.size == (110, 80, 36)
    assert (pose.fits, pose.build_volume, pose.printer, pose.in_words) == (None, None, "", "as on the wall")


def test_a_turn_is_told_and_rigid() -> None:
    """Counter-clockwise as seen from above: what lay along x lies along y after a quarter turn."""
    bed = type(load_catalogue().machines[0])(
        **{**vars(load_catalogue().machines[0]), "volume": (60, 200, 50)}
    )
    points = np.column_stack([bar(180, 40, 0.0), np.zeros(4)])
    pose = print_pose([points], bed)
    assert pose.fits
    assert pose.turn == pytest.approx(90.0)
    assert "turned by 90.0 degrees" in pose.in_words
    np.testing.assert_allclose(pose.matrix[:3, :3] @ [1, 0, 0], [0, 1, 0], atol=1e-12)
    assert np.linalg.det(pose.matrix[:3, :3]) == pytest.approx(1.0)
