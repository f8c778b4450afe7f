"""Columns of known solids; closedness where lines run exactly along faces, edges and corners."""

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.measure.columns import Grid, columns
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, ring, sphere


def measured(solid: Solid, step: float) -> float:
    low, high = solid.bounds
    found = columns(solid.mesh, Grid.over(low[:2], high[:2], step))
    return float((found.high - found.low).sum() * step**2)


@pytest.mark.parametrize("solid", [boulder(), ring(), sphere(30)], ids=["boulder", "ring", "sphere"])
def test_columns_add_up_to_the_volume(solid):
    assert measured(solid, 0.5) == pytest.approx(solid.volume, rel=3e-3)


def test_block_with_lines_along_its_faces_and_edges_is_exact():
    # 10 x 10 lines of a half-open 10 x 10 block: each face belongs to one side only.
    solid = Solid.checked(Manifold.cube((10, 10, 4)))
    assert measured(solid, 1.0) == 400.0


def test_every_line_through_rough_meshes_closes():
    # Vertices rounded to the grid put lines through very many corners and edges.
    solid = boulder(20.0, 0.3, seed=3)
    vertices = np.round(solid.vertices)
    grid = Grid.over(vertices.min(axis=0)[:2], vertices.max(axis=0)[:2], 1.0)
    found = columns(Mesh(vertices, solid.triangles), grid)
    a, b, c = vertices[solid.triangles].transpose(1, 0, 2)
    volume = np.einsum("ij,ij->", a, np.cross(b, c)) / 6
    assert float((found.high - found.low).sum()) == pytest.approx(volume, rel=0.02)


def test_stretches_under_and_over_a_gap():
    low = block(20, 20, 5)
    high = Solid.checked(Manifold.cube((10, 10, 6), True).translate((0, 0, 13)))
    found = columns(union([low, high]).mesh, Grid.around(0.0, 0.0, 9.0, 0.7))
    x, y = found.grid.places
    inside = (abs(x) < 5) & (abs(y) < 5)
    assert np.allclose(found.first[0], 0.0)
    assert np.allclose(found.first[1], 5.0)
    assert np.allclose(found.above_first, np.where(inside, 6.0, 0.0))
    assert np.array_equal(found.filled(12.0), inside)
    assert np.allclose(found.at(12.0)[1][inside], 16.0)


def test_lines_beside_the_solid_meet_nothing():
    found = columns(block(4, 4, 4).mesh, Grid.around(100.0, 0.0, 3.0, 1.0))
    assert len(found.cell) == 0
    assert np.isnan(found.first[0]).all()
