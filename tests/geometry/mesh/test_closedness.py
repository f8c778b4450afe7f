import numpy as np
import pytest

import shapes
from holdwright.geometry.mesh.closedness import Closedness, closedness, merge_equal
from holdwright.geometry.mesh.connectivity import edge_uses

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
CUBE = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 7, 5], [4, 6, 7], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ]
)  # fmt: skip


def cubes(*places: tuple[float, float, float]) -> tuple[np.ndarray, np.ndarray]:
    """Unit cubes at these places, each with vertices of its own."""
    vertices = np.concatenate([CORNERS + np.array(place) for place in places])
    return vertices, np.concatenate([CUBE + 8 * number for number in range(len(places))])


def test_a_cube_is_closed() -> None:
    assert closedness(CORNERS, CUBE) == Closedness(
        closed=True,
        triangles=12,
        degenerate=0,
        unbalanced_edges=0,
        contact_edges=0,
        pieces=1,
        volume=1.0,
        area=6.0,
    )


def test_unshared_vertices_of_equal_bits_are_one() -> None:
    soup = CORNERS.astype(np.float32)[CUBE].reshape(-1, 3)
    found = closedness(soup, np.arange(36).reshape(-1, 3))
    assert found.closed
    assert found.volume == pytest.approx(1.0)


def test_the_two_zeros_are_one() -> None:
    points = np.array([[0.0, 1.0, 2.0], [-0.0, 1.0, 2.0], [0.0, 1.0, -2.0]])
    distinct, place = merge_equal(points)
    assert place.tolist() == [0, 0, 1]
    assert len(distinct) == 2


def test_vertices_one_bit_apart_stay_two() -> None:
    points = CORNERS.astype(np.float32)
    soup = points[CUBE].reshape(-1, 3)
    soup[0, 0] = np.nextafter(soup[0, 0], np.float32(1.0))
    found = closedness(soup, np.arange(36).reshape(-1, 3))
    assert not found.closed
    assert found.unbalanced_edges > 0


@pytest.mark.parametrize("missing", range(12))
def test_a_missing_triangle_leaves_three_unbalanced_edges(missing: int) -> None:
    found = closedness(CORNERS, np.delete(CUBE, missing, axis=0))
    assert not found.closed
    assert found.unbalanced_edges == 3


def test_a_flipped_triangle_is_not_closed() -> None:
    triangles = CUBE.copy()
    triangles[5] = triangles[5, ::-1]
    found = closedness(CORNERS, triangles)
    assert not found.closed
    assert found.unbalanced_edges == 3


def test_a_flat_or_collapsed_triangle_is_degenerate() -> None:
    collapsed = np.vstack([CUBE, [0, 0, 1]])
    assert closedness(CORNERS, collapsed).degenerate == 1
    assert not closedness(CORNERS, collapsed).closed
    points = np.vstack([CORNERS, [0.0, 0.0, 0.5]])
    on_a_line = np.vstack([CUBE, [0, 8, 1]])
    assert closedness(points, on_a_line).degenerate == 1


def test_inward_is_closed_with_negative_volume() -> None:
    found = closedness(CORNERS, CUBE[:, ::-1])
    assert found.closed
    assert found.volume == pytest.approx(-1.0)


def test_nothing_is_not_closed() -> None:
    found = closedness(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    assert not found.closed
    assert found.pieces == 0


@pytest.mark.parametrize(
    ("places", "pieces", "contacts"),
    [
        (((0, 0, 0), (3, 0, 0)), 2, 0),
        (((0, 0, 0), (1, 1, 0)), 1, 1),  # along an edge
        (((0, 0, 0), (1, 1, 1)), 1, 0),  # at a corner
        (((0, 0, 0), (1, 0, 0)), 1, 5),  # at a face, on the same diagonal
    ],
)
def test_pieces_and_contact_edges(
    places: tuple[tuple[float, float, float], ...], pieces: int, contacts: int
) -> None:
    found = closedness(*cubes(*places))
    assert found.closed
    assert (found.pieces, found.contact_edges) == (pieces, contacts)
    assert found.volume == pytest.approx(2.0)


def test_colliding_keys_do_not_merge_different_vertices(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("holdwright.geometry.mesh.closedness._MIX", np.zeros(3, dtype=np.uint64))
    distinct, place = merge_equal(CORNERS[CUBE].reshape(-1, 3))
    assert len(distinct) == 8
    np.testing.assert_array_equal(distinct[place], CORNERS[CUBE].reshape(-1, 3))


def test_figures_agree_with_the_kernel_far_from_the_origin() -> None:
    solid = shapes.boulder(50)
    moved = solid.vertices + np.array([1e5, -2e5, 3e5])
    found = closedness(moved, solid.triangles)
    assert found.volume == pytest.approx(solid.volume, rel=1e-9)
    assert found.area == pytest.approx(solid.area, rel=1e-9)


def test_edge_uses_of_a_cube() -> None:
    edge, uses, forward = edge_uses(CUBE, 8)
    assert len(edge) == 18
    assert (uses == 2).all()
    assert (forward == 1).all()
