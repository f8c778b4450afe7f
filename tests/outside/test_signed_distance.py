"""The distance between two finished holds, checked against VTK's and libigl's."""

from pathlib import Path

import igl
import numpy as np
import pytest
import pyvista

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.deviation import points_by_area
from holdwright.geometry.measure.signed_distance import SignedDistance
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import replay

SAMPLES = Path(__file__).resolve().parents[2] / "sample_data"


@pytest.fixture(scope="module")
def holds() -> tuple[Mesh, Mesh]:
    """Two holds trimmed to one back, with long slivers where they were cut."""
    recipe, catalogue = load_recipe(find_recipe("starter")), load_catalogue()
    sculpts = (read_sculpt(SAMPLES / f"hall-{name}.obj") for name in ("crimp", "sloper"))
    done = [replay(recipe, each, catalogue=catalogue, until="s6") for each in sculpts]
    return done[0].hold.whole.mesh, done[1].hold.whole.mesh


def test_distance_and_side_are_those_of_two_other_libraries(holds):
    old, new = holds
    points = points_by_area(new, 1500)[0]
    found = SignedDistance(old).of(points)
    of_igl = np.sqrt(igl.point_mesh_squared_distance(points, old.vertices, old.triangles)[0])
    assert np.abs(np.abs(found) - of_igl).max() < 1e-6
    winding = igl.fast_winding_number(old.vertices, old.triangles, points)
    assert ((found < 0.0) == (winding > 0.5))[of_igl > 1e-3].all()
    faces = np.insert(old.triangles, 0, 3, axis=1).ravel()
    cloud = pyvista.PolyData(points).compute_implicit_distance(pyvista.PolyData(old.vertices, faces))
    # VTK takes its sign from the nearest normal, which is wrong beside some thin edges.
    of_vtk = cloud["implicit_distance"]
    assert np.abs(np.abs(found) - np.abs(of_vtk)).max() < 1e-6
    assert (np.sign(found) == np.sign(of_vtk))[np.abs(found) > 0.05].mean() > 0.99
