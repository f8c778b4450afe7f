import numpy as np
import pytest
import trimesh

from holdwright.geometry.measure.nearest import nearest
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder


def test_a_point_before_a_face_falls_square_onto_it():
    found = nearest(block(), np.array([10.0, 5.0, 47.0]))
    assert found.point == pytest.approx([10.0, 5.0, 40.0])
    assert found.normal == pytest.approx([0.0, 0.0, 1.0])
    assert found.distance == pytest.approx(7.0)


def test_a_point_beyond_a_corner_falls_onto_it():
    found = nearest(block(), np.array([53.0, 44.0, 40.0]))
    assert found.point == pytest.approx([50.0, 40.0, 40.0])
    assert found.distance == pytest.approx(5.0)


def test_a_point_inside_finds_the_side_that_faces_as_asked():
    inside = np.array([0.0, 0.0, 18.0])
    assert nearest(block(), inside).point[2] == pytest.approx(0.0)
    assert nearest(block(), inside, np.array([0.0, 0.0, 1.0])).point[2] == pytest.approx(40.0)


def test_nothing_that_faces_as_asked_is_none():
    tilted = np.array([1.0, 1.0, 1.0]) / np.sqrt(3)  # 54.7 degrees from three faces of a block
    assert nearest(block(), np.zeros(3), tilted) is not None
    steep = Solid.from_triangles(
        np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 1.0]]),
        np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]),
    )
    assert nearest(steep, np.zeros(3), np.array([1.0, 0.0, 0.0])) is None


def test_points_round_a_lumpy_solid_agree_with_a_general_library():
    """Beside trimesh's closest point, on points inside, near and far."""
    solid = boulder(segments=48)
    points = np.random.default_rng(3).normal(size=(25, 3)) * 45.0
    known, distance, _ = trimesh.proximity.closest_point_naive(
        trimesh.Trimesh(solid.vertices, solid.triangles, process=False), points
    )
    for index, point in enumerate(points):
        found = nearest(solid, point)
        assert found.distance == pytest.approx(distance[index], abs=1e-9)
        assert found.point == pytest.approx(known[index], abs=1e-6)


def test_the_normal_does_not_jitter_with_a_rough_surface():
    fine = block().kernel.refine_to_length(1.0)
    smooth = Solid.checked(fine)
    rough = smooth.vertices + np.random.default_rng(1).uniform(-0.05, 0.05, smooth.vertices.shape)
    solid = Solid.from_triangles(rough, smooth.triangles)
    found = nearest(solid, np.array([3.0, 7.0, 40.0]))
    assert found.normal @ [0.0, 0.0, 1.0] > np.cos(np.radians(8.0))
