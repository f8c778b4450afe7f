import numpy as np
import pytest

from holdwright.geometry.measure.deviation import SurfacePoints, sampled
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import mesh_of
from holdwright.geometry.repair.grid_rebuild import rebuilt
from shapes import block, boulder, ring


@pytest.mark.parametrize("solid", [boulder(50, segments=64), block(), ring()], ids=["rock", "block", "ring"])
def test_a_surface_made_anew_is_within_a_voxel_of_the_old(solid):
    made = rebuilt(solid.mesh, 2.0)
    assert made.voxel == 2.0
    assert made.kernel.volume() == pytest.approx(solid.volume, rel=0.015)
    assert made.kernel.genus() == solid.genus
    there = sampled(mesh_of(made.kernel))
    assert SurfacePoints(solid.mesh, 1.0).nearest(there).distance.max() < 2.0


def test_pieces_that_overlap_become_one():
    box = block()
    made = rebuilt(Mesh.joined([box.mesh, Mesh(box.vertices + np.array([50.0, 0, 0]), box.triangles)]), 2.0)
    assert made.kernel.volume() == pytest.approx(480_000, rel=0.01)
    assert len(made.kernel.decompose()) == 1


def test_thin_pieces_get_a_finer_grid():
    thick = rebuilt(block().mesh)
    thin_plate = block(100, 80, 1.5)
    thin = rebuilt(thin_plate.mesh)
    assert thin.voxel < thick.voxel
    assert thin.kernel.volume() == pytest.approx(thin_plate.volume, rel=0.02)
