"""The turn on the bed, against shapely's smallest rectangle and figures by hand."""

import math

import numpy as np
import pytest
from shapely import MultiPoint

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.pose import print_pose
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
    assert "larger than it builds" in pose.in_words
