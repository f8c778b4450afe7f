import math

import numpy as np
import pytest

from holdwright.geometry.measure.solid_figures import measure
from holdwright.geometry.mesh.circle import area_true_radius, circle_points
from holdwright.geometry.mesh.solid import Solid
from shapes import block, ring


def test_figures_of_a_block():
    figures = measure(block(100, 80, 40), count_pieces=True)
    assert figures.volume_mm3 == pytest.approx(320_000)
    assert figures.area_mm2 == pytest.approx(2 * (8000 + 4000 + 3200))
    assert figures.bounds_mm == ((-50.0, -40.0, 0.0), (50.0, 40.0, 40.0))
    assert figures.size_mm == (100.0, 80.0, 40.0)
    assert (figures.genus, figures.pieces, figures.triangles) == (0, 1, 12)


def test_holes_and_pieces_are_counted_only_when_asked():
    two = Solid.checked(ring().kernel + ring().kernel.translate((200, 0, 0)))
    assert measure(ring()).genus == 1
    assert measure(two).pieces is None
    assert measure(two, count_pieces=True).pieces == 2


@pytest.mark.parametrize("segments", [3, 16, 128, 1000])
def test_polygon_has_the_area_of_its_circle(segments):
    points = circle_points(7.0, segments)
    following = np.roll(points, -1, axis=0)
    area = (points[:, 0] * following[:, 1] - points[:, 1] * following[:, 0]).sum() / 2
    assert area == pytest.approx(math.pi * 49, rel=1e-12)
    assert np.linalg.norm(points, axis=1) == pytest.approx(area_true_radius(7.0, segments))
    assert points[0, 1] == 0.0
