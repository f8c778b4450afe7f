"""Fields over a surface, against figures known without measuring."""

import numpy as np
import pytest

from holdwright.geometry.mesh.solid import Solid
from holdwright.pipeline.views.analysis import at_places, at_vertices, thickness_field
from shapes import block, ring, sphere


def fine(solid: Solid, length: float) -> Solid:
    """The same solid of smaller triangles."""
    return Solid.checked(solid.kernel.refine_to_length(length))


def inside(vertices: np.ndarray, x: float, y: float) -> np.ndarray:
    return (np.abs(vertices[:, 0]) < x) & (np.abs(vertices[:, 1]) < y)


def test_a_slab_is_as_thick_as_it_is():
    slab = fine(block(100, 80, 10), 5)
    field = thickness_field(slab, slab.vertices.astype(np.float32))
    middle = inside(slab.vertices, 44, 34)
    assert middle.sum() > 100
    assert field.values[middle] == pytest.approx(10.0, abs=1e-3)
    assert field.low == pytest.approx(10.0, abs=1e-3)
    assert field.high >= field.low
    assert field.values.dtype == np.float32


def test_a_ball_is_as_thick_as_its_diameter():
    ball = sphere(25)
    field = thickness_field(ball, ball.vertices.astype(np.float32))
    assert field.values == pytest.approx(50.0, rel=0.01)


def test_a_ring_is_thinnest_where_it_is_thin():
    thin = fine(ring(40, 36, 60), 4)
    field = thickness_field(thin, thin.vertices.astype(np.float32))
    assert field.low == pytest.approx(4.0, abs=0.1)
    assert np.hypot(*field.place[:2]) == pytest.approx(38, abs=2.2)


def test_places_take_the_figure_of_the_nearest_vertex():
    slab = block(100, 80, 10)
    figures = np.arange(8.0)
    order = [3, 1, 2, 0]
    places = (slab.vertices[order] + 0.25).astype(np.float32)
    assert at_places(slab, figures, places).tolist() == order


def test_faces_without_a_figure_do_not_count():
    slab = block(100, 80, 10)
    of_faces = np.full(12, np.inf)
    of_faces[0] = 7.0
    assert at_vertices(slab, of_faces, np.ones(12)).tolist() == [7.0] * 8


def test_large_faces_weigh_more():
    slab = block(100, 80, 10)
    areas = np.ones(12)
    areas[0] = 1e9
    of_faces = np.ones(12)
    of_faces[0] = 5.0
    values = at_vertices(slab, of_faces, areas)
    assert values[slab.triangles[0]] == pytest.approx(5.0)
    assert sorted(values)[:5] == pytest.approx([1.0] * 5)
