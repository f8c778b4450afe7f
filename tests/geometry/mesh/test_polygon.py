"""Polygons cut into triangles, beside areas from shapely, a general-purpose library."""

from collections import Counter

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.errors import GeometryError
from holdwright.geometry.mesh import polygon
from holdwright.geometry.mesh.polygon import triangulate

COMB = [
    (0, 0),
    (9, 0),
    (9, 3),
    (8, 3),
    (8, 1),
    (6, 1),
    (6, 3),
    (5, 3),
    (5, 1),
    (3, 1),
    (3, 3),
    (2, 3),
    (2, 1),
    (0, 1),
]
SPIRAL = [
    (0, 0),
    (8, 0),
    (8, 8),
    (2, 8),
    (2, 4),
    (5, 4),
    (5, 5),
    (3, 5),
    (3, 7),
    (7, 7),
    (7, 1),
    (1, 1),
    (1, 9),
    (0, 9),
]
ROUND = np.linspace(0, 2 * np.pi, 500, endpoint=False)
SHAPES = {
    "triangle": [(0, 0), (4, 0), (1, 3)],
    "square": [(0, 0), (2, 0), (2, 2), (0, 2)],
    "dart": [(0, 0), (4, 0), (1, 1), (0, 4)],
    "dart from its tip": [(4, 0), (1, 1), (0, 4), (0, 0)],
    "corner in line": [(0, 0), (1, 0), (2, 0), (2, 2), (0, 2)],
    "sides with corners in line": [(0, 0), (1, 0), (2, 0), (2, 1), (2, 2), (1, 2), (0, 2), (0, 1)],
    "L": [(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)],
    "arrow": [(0, 0), (2, 0), (2, 2), (1, 0.5), (0, 2)],
    "comb": COMB,
    "spiral": SPIRAL,
    "star": [
        (np.cos(a) * (1 + k % 2), np.sin(a) * (1 + k % 2)) for k, a in enumerate(np.arange(16) * np.pi / 8)
    ],
    "circle": np.column_stack([np.cos(ROUND), np.sin(ROUND)]),
}


def placed(outline, turn: int = 0, mirrored: bool = False, seed: int = 0) -> np.ndarray:
    """Lay an outline into a plane of any slant, far from the origin, beginning with another corner."""
    points = np.roll(np.array(outline, dtype=float), turn, axis=0)
    points = points[::-1] if mirrored else points
    rotation = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))[0]
    return np.column_stack([points, np.zeros(len(points))]) @ rotation.T * 7.0 + [300.0, -20.0, 5.0]


def area_vectors(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = np.moveaxis(points[triangles], 1, 0)
    return np.cross(b - a, c - a) / 2


def check_edges(ring: list[int], triangles: np.ndarray) -> None:
    """Each edge of the ring is an edge of one triangle, and all others cancel."""
    edges = Counter((int(t[k]), int(t[(k + 1) % 3])) for t in triangles for k in range(3))
    edges.subtract(Counter((int(t[(k + 1) % 3]), int(t[k])) for t in triangles for k in range(3)))
    outside = Counter(zip(ring, [*ring[1:], ring[0]], strict=True))
    outside.subtract(Counter(zip([*ring[1:], ring[0]], ring, strict=True)))
    assert {edge: count for edge, count in edges.items() if count} == {
        edge: count for edge, count in outside.items() if count
    }


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("mirrored", [False, True])
def test_triangles_fill_the_polygon_once_and_keep_its_edges(name, mirrored):
    outline = SHAPES[name]
    for turn in range(min(len(outline), 8)):
        points = placed(outline, turn, mirrored, seed=turn)
        triangles, _ = triangulate(points, np.arange(len(points)), np.array([len(points)]))
        assert len(triangles) == len(points) - 2
        check_edges(list(range(len(points))), triangles)
        vectors = area_vectors(points, triangles)
        total = vectors.sum(axis=0)
        size = shapely.Polygon(outline).area * 49.0
        assert np.linalg.norm(total) == pytest.approx(size, rel=1e-9)
        assert np.linalg.norm(vectors, axis=1).sum() == pytest.approx(size, rel=1e-9)


def test_many_polygons_of_all_sizes_keep_their_order():
    rings = [placed(outline, seed=number) for number, outline in enumerate(SHAPES.values())] * 3
    sizes = np.array([len(ring) for ring in rings])
    points = np.concatenate(rings)
    triangles, polygon_of = triangulate(points, np.arange(len(points)), sizes)
    assert polygon_of is not None
    assert (np.diff(polygon_of) >= 0).all()
    owner = np.repeat(np.arange(len(rings)), sizes)
    assert (owner[triangles] == polygon_of[:, None]).all()
    areas = np.bincount(polygon_of, np.linalg.norm(area_vectors(points, triangles), axis=1))
    assert areas == pytest.approx([shapely.Polygon(outline).area * 49.0 for outline in SHAPES.values()] * 3)


def test_triangles_pass():
    corners = np.array([2, 0, 1, 1, 0, 2])
    triangles, polygon_of = triangulate(np.zeros((3, 3)), corners, np.array([3, 3]))
    assert triangles.tolist() == [[2, 0, 1], [1, 0, 2]]
    assert polygon_of is None
    assert len(triangulate(np.zeros((3, 3)), corners[:0], corners[:0])[0]) == 0


def test_a_quad_out_of_plane_is_cut_by_its_first_diagonal():
    points = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0.5], [0, 1, 0]], dtype=float)
    triangles, _ = triangulate(points, np.arange(4), np.array([4]))
    assert triangles.tolist() == [[0, 1, 2], [0, 2, 3]]


def test_two_loops_joined_by_a_cut_leave_the_hole_open():
    outline = [(0, 0), (4, 0), (4, 4), (0, 4), (1, 1), (1, 2), (2, 2), (2, 1)]
    ring = [0, 1, 2, 3, 0, 4, 5, 6, 7, 4]
    points = placed(outline)
    triangles, _ = triangulate(points, np.array(ring), np.array([len(ring)]))
    check_edges(ring, triangles)
    assert np.linalg.norm(area_vectors(points, triangles), axis=1).sum() == pytest.approx(15.0 * 49.0)


@settings(deadline=None, max_examples=100)
@given(st.lists(st.tuples(*[st.integers(-3, 3)] * 3), min_size=3, max_size=20))
def test_edges_are_kept_whatever_the_polygon(corners):
    """Flat, crossing, folded, with corners in one place: the boundary is still the polygon's."""
    points = np.array(corners, dtype=float)
    triangles, _ = triangulate(points, np.arange(len(points)), np.array([len(points)]))
    assert len(triangles) == len(points) - 2
    check_edges(list(range(len(points))), triangles)


def test_polygons_that_would_take_minutes_are_refused(monkeypatch):
    monkeypatch.setattr(polygon, "_WORK_LIMIT", 15**2)
    points = placed(SHAPES["star"])
    with pytest.raises(GeometryError, match="16 in one"):
        triangulate(points, np.tile(np.arange(16), 2), np.array([16, 16]))
