"""Inside and outside on a grid, against closed forms and against winding numbers by an outside library."""

import igl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.errors import GeometryError
from holdwright.geometry.measure.occupancy import Lattice, crossings, filling, lattice_over, mark
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, frustum, ring, sphere

SHAPES = {
    "ball": sphere(20.0, 64),
    "ring": ring(20.0, 10.0, 10.0, 64),
    "cone": frustum(15.0, 0.0, 25.0, 48),
    "boulder": boulder(20.0, 0.2, seed=3, segments=32),
}


@pytest.mark.parametrize("name", SHAPES)
def test_the_points_inside_are_those_whose_winding_number_is_one(name):
    """Outside: libigl's exact winding number (Jacobson, Kavan & Sorkine-Hornung, SIGGRAPH 2013)."""
    solid = SHAPES[name].moved(
        np.array([[1.0, 0, 0, 0.123], [0, 1, 0, 0.456], [0, 0, 1, 0.789], [0, 0, 0, 1]])
    )
    lattice = lattice_over(*solid.bounds, 2.0, margin=3.0)
    points = lattice.points(np.argwhere(np.ones(lattice.shape, dtype=bool)))
    winding = igl.winding_number(solid.vertices, solid.triangles.astype(np.int32), points)
    np.testing.assert_array_equal(marked(lattice, solid).reshape(-1), winding > 0.5)


def test_columns_through_edges_vertices_and_faces_leak_nowhere():
    """Every column of a whole-number lattice hits an edge, a vertex or a diagonal of these boxes."""
    box = block(10.0, 8.0, 6.0)
    lattice = Lattice(np.array([-8.0, -7.0, -3.0]), 1.0, (17, 15, 13))
    inside = marked(lattice, box)
    assert inside.sum() == 10 * 8 * 6
    assert not inside[:, :, :3].any()
    assert not inside[:, :, 9:].any()


def test_a_pyramid_over_a_lattice_point_counts_once():
    """The apex and all edges lie on columns: the sum of crossings is still right in each of them."""
    vertices = np.array([[-4.0, -4, 0], [4, -4, 0], [4, 4, 0], [-4, 4, 0], [0, 0, 4]])
    triangles = np.array([[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]])
    lattice = Lattice(np.array([-6.0, -6, -1.5]), 1.0, (13, 13, 8))
    inside = mark(lattice, crossings(lattice, Mesh(vertices, triangles)))
    heights = inside.sum(axis=2)[2:10, 2:10]
    x = np.arange(-4, 4)
    expected = np.maximum(4 - np.maximum(np.abs(x)[:, None], np.abs(x)[None, :]), 0)
    np.testing.assert_array_equal(heights, expected)


@settings(max_examples=12, deadline=None)
@given(
    st.tuples(*[st.floats(-1.0, 1.0)] * 4).filter(lambda q: np.linalg.norm(q) > 0.1),
    st.tuples(*[st.floats(-3.0, 3.0)] * 3),
)
def test_the_count_gives_the_volume_however_the_solid_lies(quaternion, shift):
    w, x, y, z = np.array(quaternion) / np.linalg.norm(quaternion)
    matrix = np.eye(4)
    matrix[:3, :3] = [
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ]
    matrix[:3, 3] = shift
    solid = SHAPES["boulder"].moved(matrix)
    lattice = lattice_over(*solid.bounds, 1.0, margin=1.0)
    assert marked(lattice, solid).sum() == pytest.approx(solid.volume, rel=0.01)
    whole = filling(lattice, solid.mesh)
    assert whole.sum(dtype=np.float64) == pytest.approx(solid.volume, rel=0.005)


def test_overlapping_pieces_count_as_inside():
    one, other = sphere(10.0, 32), sphere(10.0, 32).moved(shifted(6.0, 0.0, 0.0))
    vertices = np.concatenate([one.vertices, other.vertices])
    triangles = np.concatenate([one.triangles, other.triangles + len(one.vertices)])
    fused = Solid.checked(one.kernel + other.kernel)
    lattice = lattice_over(*fused.bounds, 0.5, margin=1.0)
    inside = mark(lattice, crossings(lattice, Mesh(vertices, triangles)))
    assert inside.sum() * 0.125 == pytest.approx(fused.volume, rel=0.01)


def test_filling_is_exact_along_z_and_goes_on_into_a_wall():
    box = block(4.0, 4.0, 2.3)
    lattice = Lattice(np.array([0.3, 0.3, -3.0]), 1.0, (1, 1, 8))
    np.testing.assert_allclose(filling(lattice, box.mesh)[0, 0], [0, 0, 0, 0.5, 1, 0.8, 0, 0], atol=1e-6)
    np.testing.assert_allclose(
        filling(lattice, box.mesh, back=0.0)[0, 0], [1, 1, 1, 1, 1, 0.8, 0, 0], atol=1e-6
    )


def test_a_lattice_may_cover_only_a_part():
    ball = SHAPES["ball"]
    whole = lattice_over(*ball.bounds, 1.0)
    part = Lattice(whole.origin + np.array([5.0, 9.0, 12.0]), 1.0, (12, 9, 7))
    np.testing.assert_array_equal(marked(part, ball), marked(whole, ball)[5:17, 9:18, 12:19])


def test_an_absurd_spacing_is_refused_in_a_sentence():
    with pytest.raises(GeometryError, match="too fine"):
        lattice_over(np.zeros(3), np.full(3, 1000.0), 0.01)


def marked(lattice, solid):
    return mark(lattice, crossings(lattice, solid.mesh))


def shifted(x, y, z):
    matrix = np.eye(4)
    matrix[:3, 3] = x, y, z
    return matrix
