"""Meshes against trimesh, and connectivity against what is known."""

import pickle

import numpy as np
import pytest
import trimesh

from holdwright.geometry.mesh.connectivity import edge_uses, triangle_sets
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh, quartered
from shapes import block, boulder


@pytest.fixture(scope="module")
def torn() -> Mesh:
    mesh = boulder(segments=48).mesh
    chosen = np.random.default_rng(3).random(len(mesh.triangles)) > 0.1
    return mesh.submesh(chosen)


def outside(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(np.array(mesh.vertices), np.array(mesh.triangles), process=False)


def test_areas_volume_bounds_and_normals_are_those_of_trimesh(torn):
    other = outside(torn)
    assert torn.areas == pytest.approx(other.area_faces, rel=1e-9)
    assert boulder().mesh.volume == pytest.approx(outside(boulder().mesh).volume, rel=1e-9)
    assert torn.bounds == pytest.approx(other.bounds)
    normals = torn.crosses / np.linalg.norm(torn.crosses, axis=1, keepdims=True)
    assert normals == pytest.approx(other.face_normals, abs=1e-9)


def test_open_edges_and_parts_are_those_of_trimesh(torn):
    other = outside(torn)
    unique = trimesh.grouping.group_rows(other.edges_sorted, require_count=1)
    assert {*map(tuple, torn.open_edges.tolist())} == {*map(tuple, other.edges_sorted[unique].tolist())}
    labels = trimesh.graph.connected_component_labels(other.edges, node_count=len(torn.vertices))
    parts = torn.parts()
    assert len(parts) == len(np.unique(labels[torn.triangles[:, 0]]))
    for part in parts:
        assert len(np.unique(labels[torn.triangles[part]])) == 1


def test_a_part_is_compact_and_where_it_was(torn):
    for which in (np.arange(5), np.arange(len(torn.triangles) - 5)):  # few are found by sorting
        part = torn.submesh(which)
        assert len(np.unique(part.triangles)) == len(part.vertices)
        np.testing.assert_array_equal(part.corners, torn.corners[which])


def test_near_leaves_out_only_what_is_beside_the_box(torn):
    low, high = np.array([-10.0, -10.0]), np.array([20.0, 30.0])
    near = torn.near(low, high)
    flat = torn.corners[:, :, :2]
    beside = (flat < low).all(axis=1).any(axis=1) | (flat > high).all(axis=1).any(axis=1)
    np.testing.assert_array_equal(near.corners, torn.corners[~beside])


def test_flipped_moved_and_joined():
    box = block(10, 20, 30).mesh
    assert box.flipped().volume == pytest.approx(-6000.0)
    moved = box.moved(placement(2.0 * np.eye(3), np.array([100.0, 0, 0])))
    both = Mesh.joined([box, moved])
    assert both.volume == pytest.approx(6000.0 + 48000.0)
    assert [len(part) for part in both.parts()] == [12, 12]
    assert Mesh.of_corners(quartered(box.corners)).area == pytest.approx(box.area)


def test_a_mesh_is_read_only_and_travels_without_what_is_cached():
    box = block().mesh
    assert box.area > 0
    with pytest.raises(ValueError, match="read-only"):
        box.vertices[0] = 0.0
    copy = pickle.loads(pickle.dumps(box))
    assert "crosses" not in vars(copy)
    assert copy.area == box.area


def test_sets_and_uses_of_no_triangles_are_none():
    nothing = np.zeros((0, 3), dtype=np.int64)
    assert all(len(each) == 0 for each in edge_uses(nothing, 7))
    assert Mesh(np.eye(3), nothing).parts() == []
    assert triangle_sets(np.array([[5, 9, 7], [1, 2, 3], [7, 8, 6]])).tolist() == [1, 0, 1]
