import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from holdwright.geometry.base.base_search import bases, outermost_points, solid_angles
from holdwright.geometry.base.planar_regions import flat_round
from holdwright.geometry.measure.nearest import nearest
from holdwright.geometry.measure.surface_sample import sample_surface
from holdwright.geometry.mesh.boolean import cut_by_plane, union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, frustum, ring, sphere

UP = np.array([0.0, 0.0, 1.0])


def roughened(solid: Solid, noise: float, seed: int) -> Solid:
    """Jitter every vertex by up to `noise` mm along each axis."""
    jitter = np.random.default_rng(seed).uniform(-noise, noise, solid.vertices.shape)
    return Solid.from_triangles(solid.vertices + jitter, solid.triangles)


def angle(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.degrees(np.arccos(np.clip(one @ other, -1.0, 1.0))))


def flat_backed(seed: int, level: float = -22.0) -> Solid:
    cut = cut_by_plane(boulder(seed=seed, segments=48, roughness=0.5), UP, level)
    return Solid.checked(cut.kernel.refine_to_length(3.0))


@settings(deadline=None, max_examples=12)
@given(st.integers(0, 10_000), st.integers(0, 40), st.sampled_from([0.0, 0.1, 0.3]))
def test_a_known_back_is_found_within_a_degree(turn, seed, noise):
    rotation = Rotation.random(random_state=turn).as_matrix()
    solid = roughened(flat_backed(seed), noise, seed).moved(placement(rotation))
    found = bases(solid)[0]
    assert found.how == "flat"
    assert angle(found.normal, rotation @ -UP) < 1.0


def test_a_clean_back_is_found_to_rounding():
    assert angle(bases(flat_backed(3))[0].normal, -UP) < 1e-4


def test_a_back_meshed_finely_with_a_spike_on_it_is_still_found():
    spike = frustum(1.0, 0.05, 2.5, 16).moved(
        placement(np.diag([1.0, -1.0, -1.0]), np.array([5.0, 3.0, -21.9]))
    )
    solid = union([roughened(flat_backed(5), 0.1, 5), spike])
    assert angle(bases(solid)[0].normal, -UP) < 1.0


def test_size_and_unit_of_the_sculpt_do_not_matter():
    small = flat_backed(2).moved(placement(np.eye(3) * 1e-3))
    assert angle(bases(small)[0].normal, -UP) < 0.1
    assert bases(small)[0].how == "flat"


def test_the_largest_face_of_a_block_is_its_base_and_its_twin_comes_second():
    found = bases(block(100.0, 80.0, 40.0))
    assert found[0].normal == pytest.approx([0.0, 0.0, -1.0])
    assert found[0].area == pytest.approx(8000.0)
    assert found[1].normal == pytest.approx([0.0, 0.0, 1.0])
    assert found[1].score == pytest.approx(found[0].score)


def test_the_wide_end_of_a_cone_frustum_is_its_base():
    turned = placement(Rotation.from_euler("x", 117, degrees=True).as_matrix())
    found = bases(frustum(60.0, 35.0, 45.0).moved(turned))
    assert angle(found[0].normal, turned[:3, :3] @ -UP) < 1e-6
    assert found[0].area == pytest.approx(np.pi * 60**2, rel=1e-3)


def test_a_hollow_back_that_meets_the_wall_with_its_rim_is_found():
    cup = ring(60.0, 52.0, 25.0)
    dome = cut_by_plane(sphere(60.0), UP, 0.0).moved(
        placement(np.diag([1.0, 1.0, 0.6]), np.array([0, 0, 24.9]))
    )
    assert angle(bases(union([cup, dome]))[0].normal, -UP) < 0.1


def test_a_back_of_lumps_is_where_the_hold_rests_steadily():
    dome = cut_by_plane(sphere(150.0), UP, 105.0).moved(placement(shift=np.array([0.0, 0.0, -105.0])))
    spots = [(30 * np.cos(a) * r, 30 * np.sin(a) * r) for a in np.arange(6) * np.pi / 3 for r in (1.0, 2.2)]
    lumps = [sphere(12.0, 32).moved(placement(shift=np.array([x, y, 2.0]))) for x, y in spots]
    found = bases(union([dome, *lumps]))
    assert angle(found[0].normal, -UP) < 3.0


def test_the_side_a_thrown_body_rests_on_agrees_with_a_general_library():
    """Beside trimesh's stable poses of the same tetrahedron (Goldberg and others, 1999)."""
    corners = np.array([[0, 0, 0], [60, 0, 0], [10, 70, 0], [20, 15, 45.0]])
    triangles = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    poses, chances = trimesh.poses.compute_stable_poses(trimesh.Trimesh(corners, triangles))
    down = poses[int(np.argmax(chances))][:3, :3].T @ -UP
    assert angle(bases(Solid.from_triangles(corners, triangles))[0].normal, down) < 1e-3


def test_the_solid_angles_of_a_cube_fill_the_sphere():
    cube = block(2.0, 2.0, 2.0)
    angles = solid_angles(cube.vertices[cube.triangles] - [0.0, 0.0, 1.0])
    assert angles.sum() == pytest.approx(4 * np.pi)
    assert angles == pytest.approx(np.full(12, np.pi / 3))


def test_the_same_sculpt_gives_the_same_base_again():
    solid = boulder(segments=64, roughness=0.6)
    first, second = bases(solid)[0], bases(Solid.from_triangles(solid.vertices, solid.triangles))[0]
    assert (first.normal == second.normal).all()


def test_thinned_points_keep_what_sticks_out():
    points = np.random.default_rng(0).normal(size=(40_000, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    points[123] *= 1.7
    kept = outermost_points(points)
    assert len(kept) < 15_000
    assert np.linalg.norm(kept, axis=1).max() == pytest.approx(1.7)


def test_the_sample_knows_area_and_centre_of_gravity():
    """A frustum's centre of gravity, closed form: h/4 (R1^2 + 2 R1 R2 + 3 R2^2) / (R1^2 + R1 R2 + R2^2)."""
    solid = frustum(60.0, 35.0, 45.0)
    sample = sample_surface(solid)
    assert sample.weights.sum() == pytest.approx(solid.area)
    assert sample.centroid == pytest.approx([0.0, 0.0, 18.641696751], abs=1e-6)
    fine = sample_surface(Solid.checked(solid.kernel.refine_to_length(0.8)))
    assert fine.weights.sum() == pytest.approx(solid.area)
    assert fine.centroid == pytest.approx([0.0, 0.0, 18.641696751], abs=0.1)


def test_the_flat_area_round_a_pick_is_fitted_and_measured():
    solid = block(100.0, 80.0, 40.0)
    plane, area = flat_round(solid, nearest(solid, np.array([10.0, 40.3, 12.0])))
    assert plane.normal == pytest.approx([0.0, 1.0, 0.0], abs=1e-9)
    assert area == pytest.approx(100.0 * 40.0)


def test_a_flat_as_high_but_apart_is_not_counted():
    two = union(
        [
            block(100.0, 80.0, 10.0),
            *(block(20, 80, 30).moved(placement(shift=np.array([x, 0, 0]))) for x in (-40, 40)),
        ]
    )
    solid = Solid.checked(two.kernel)
    plane, area = flat_round(solid, nearest(solid, np.array([40.0, 5.0, 30.0])))
    assert plane.normal == pytest.approx([0.0, 0.0, 1.0], abs=1e-9)
    assert area == pytest.approx(20.0 * 80.0)
