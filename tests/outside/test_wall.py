"""The back against the ground block's face, and the size of what is finished, by other libraries.

Sections by trimesh, volumes in front of the face by VTK, smallest circles by GEOS through shapely.
"""

from functools import reduce
from pathlib import Path

import numpy as np
import pytest
import pyvista
import shapely
import trimesh

from bench.rough_sculpt import rough_sculpt, write_sculpt
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.job import Job, export
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import GroundBlock, Rim
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import Replay, replay

SEEDS = (11, 12, 13, 14, 15)


def judged(solid: Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices, solid.triangles, process=False)


@pytest.fixture(scope="module", params=SEEDS)
def replayed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Replay, Job]:
    """A made-up sculpt of a hundred overlapping pieces on a block, finished by the starter recipe."""
    path: Path = tmp_path_factory.mktemp("rough") / "sculpt.obj"
    write_sculpt(path, rough_sculpt(20_000, seed=request.param))
    recipe, sculpt = load_recipe(find_recipe("starter")), read_sculpt(path)
    made = replay(recipe, sculpt, catalogue=load_catalogue())
    return made, Job("sculpt", sculpt, path, recipe, "starter", made)


def test_the_finished_back_lies_on_the_block_face_and_what_is_before_it_stays(replayed):
    scaled, trimmed = (replayed[0].results[place].hold for place in (2, 3))
    face = scaled.find(GroundBlock)[0].point[2]
    shift = np.linalg.inv(scaled.placement) @ np.array([0.0, 0.0, 0.0, 1.0])
    moved = float((trimmed.placement @ shift)[2])  # of what was at z = 0
    assert face + moved == pytest.approx(0.0, abs=0.02)
    finished = judged(trimmed.whole)
    assert finished.is_volume
    assert finished.bounds[0, 2] == pytest.approx(0.0, abs=1e-9)
    section = finished.section(plane_origin=(0, 0, 1e-4), plane_normal=(0, 0, 1))
    loops = (shapely.Polygon(loop[:, :2]) for loop in section.discrete)
    area = reduce(lambda one, other: one.symmetric_difference(other), loops, shapely.Polygon()).area
    assert area == pytest.approx(trimmed.find(Rim)[0].area, rel=1e-3)
    whole = pyvista.PolyData.from_regular_faces(scaled.whole.vertices, scaled.whole.triangles)
    front = whole.clip_closed_surface(normal=(0, 0, 1), origin=(0, 0, face))
    assert finished.volume >= 0.98 * front.volume


def test_the_exported_parts_have_the_circle_that_was_requested_but_for_what_tips_took(replayed, tmp_path):
    made, job = replayed
    export(job, tmp_path, ["stl"])
    parts = [trimesh.load_mesh(path) for path in sorted(tmp_path.glob("*.stl"))]
    assert len(parts) == len(made.hold.solids)
    seen = np.concatenate([part.vertices[:, :2] for part in parts])
    cut = sum(found.measured for found in made.findings if found.code == "tips_cut_size")
    circle = 2.0 * shapely.minimum_bounding_radius(shapely.MultiPoint(seen))
    assert circle == pytest.approx(120.0 - cut, abs=0.1)
    assert "size_departs" not in {finding.code for finding in made.findings}
