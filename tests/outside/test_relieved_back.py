"""A relieved back, by other libraries: sections and volumes by trimesh, lands by GEOS through shapely."""

from functools import reduce
from pathlib import Path

import pytest
import shapely
import trimesh

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import CORNER
from holdwright.hold.feature import BackPocket, Bore, ScrewHole
from holdwright.hold.hold import CORE, SHELL
from holdwright.operations import known_operation
from holdwright.pipeline.replaying.replay import Replay, replay
from recipes import FINISHING, plain_starter
from sample_measures import FOLDER

LAND, DEPTH, ALLOWANCE = 10.0, 1.5, 0.8


@pytest.fixture(scope="module", params=["hall-crimp.obj", "hall-sloper.obj"])
def relieved(request: pytest.FixtureRequest) -> Replay:
    """A sample with stock to be sanded off, a screw where it was found to go, and its back relieved."""
    recipe = plain_starter()
    for name in FINISHING:
        recipe = recipe.inserted(known_operation(name))
    ids = {step.operation: step.id for step in recipe.steps}
    recipe = recipe.with_parameters(ids["trim_base"], {"allowance": ALLOWANCE})
    changes = {"land": LAND, "depth": DEPTH, "rib_spacing": 0.0, "bore_land": 0.0}
    recipe = recipe.with_parameters(ids["relieve_back"], changes)
    return replay(recipe, read_sculpt(Path(FOLDER) / request.param), catalogue=load_catalogue())


def judged(solid: Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices, solid.triangles, process=False)


def level(mesh: trimesh.Trimesh, z: float) -> shapely.Geometry:
    """The section at a height."""
    loops = (shapely.Polygon(loop[:, :2]) for loop in mesh.section((0, 0, 1), (0, 0, z)).discrete)
    return reduce(lambda one, other: one.symmetric_difference(other), loops, shapely.Polygon())


def test_what_stands_on_the_wall_is_the_back_less_the_pocket(relieved):
    before, after = (
        judged(next(each for each in relieved.results if each.operation == name).hold.whole)
        for name in ("cut_screw_hole", "relieve_back")
    )
    assert after.is_volume
    back = level(before, 0.02)
    hold = relieved.hold
    mouths = [
        shapely.Point(each.x, each.y).buffer(each.clearance_diameter / 2 + 0.1) for each in hold.find(Bore)
    ]
    heads = [shapely.Point(each.x, each.y) for each in hold.find(ScrewHole)]
    holes = [place.buffer(each.diameter) for place, each in zip(heads, hold.find(ScrewHole), strict=True)]
    expected = shapely.union_all([back, *mouths, *holes]).buffer(-LAND, quad_segs=64)
    for place, each in zip(heads, hold.find(ScrewHole), strict=True):
        expected = expected.difference(place.buffer(each.head_diameter / 2 + 4.0, quad_segs=64))
    expected = expected.buffer(-CORNER, quad_segs=64).buffer(CORNER, quad_segs=64)
    contact = level(after, 0.02)
    assert contact.symmetric_difference(back.difference(expected)).area < 2e-3 * expected.area
    # Open through the stock, and closed above its depth.
    assert level(after, -ALLOWANCE / 2).symmetric_difference(contact).area < 1e-3 * contact.area
    assert level(after, DEPTH + 0.01).area == pytest.approx(level(before, DEPTH + 0.01).area, rel=1e-6)
    pocket = hold.find(BackPocket)[0]
    removed = expected.difference(shapely.union_all(mouths)).area * (DEPTH + ALLOWANCE)
    assert before.volume - after.volume == pytest.approx(removed, rel=3e-3)
    assert pocket.area == pytest.approx(expected.area, rel=2e-3)


def test_shell_and_core_fill_the_relieved_hold(relieved):
    whole = next(each for each in relieved.results if each.operation == "relieve_back").hold.whole
    parts = [judged(relieved.hold.solids[part]) for part in (SHELL, CORE)]
    assert all(part.is_volume for part in parts)
    assert sum(part.volume for part in parts) == pytest.approx(judged(whole).volume, rel=1e-6)
