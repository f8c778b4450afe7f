"""The sample sculpts: as their script makes them, as others measure them, and finished by the starter recipe.

Outside judges: trimesh (reading, closedness, volumes), libigl (winding numbers) and shapely (silhouette); see
`sample_measures` for the routes, and sample_data/expected.json for what they gave on a fine grid.
"""

import json
import runpy
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

import sample_measures
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Collar, Rim, TipCut
from holdwright.hold.hold import CORE, SHELL
from holdwright.joint.holding.cone_reach import RIGID
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import Replay, replay

FOLDER = sample_measures.FOLDER
EXPECTED = json.loads((FOLDER / "expected.json").read_text("utf-8"))
NAMES = sorted(EXPECTED["samples"])
TIPS = {"hall-jug.obj": 2, "hall-jug-revised.obj": 2, "hall-crimp.obj": 0, "hall-sloper.obj": 0}


@cache
def finished(name: str) -> Replay:
    """A sample finished by the starter recipe, as it ships."""
    recipe = load_recipe(find_recipe("starter"))
    return replay(recipe, read_sculpt(FOLDER / name), catalogue=load_catalogue())


def after(name: str, operation: str) -> Any:
    return next(result for result in finished(name).results if result.operation == operation)


def judged(solid: Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices, solid.triangles, process=False)


def test_all_samples_are_measured_and_small():
    files = sorted(FOLDER.glob("*.obj"))
    assert [path.name for path in files] == NAMES
    assert all(path.stat().st_size < 1_500_000 for path in files)
    assert sum(path.stat().st_size for path in files) < 4_000_000


@pytest.mark.parametrize("name", NAMES)
def test_measures_are_those_written_down(name):
    found, expected = sample_measures.measured(FOLDER / name, 60), EXPECTED["samples"][name]
    assert {key: found[key] for key in ("groups", "ground_block", "inside_out")} == {
        key: expected[key] for key in ("groups", "ground_block", "inside_out")
    }
    # A coarser grid than that of the file: 60 cells in place of 240.
    assert found["fused_volume"] == pytest.approx(expected["fused_volume"], rel=0.005)
    assert found["circle"] == pytest.approx(expected["circle"], rel=1e-9)
    assert found["size_at_120"] == pytest.approx(expected["size_at_120"], rel=1e-9)


def test_the_script_makes_the_same_sculpt_again(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(str(FOLDER))
    (again,) = runpy.run_path(str(FOLDER / "make_samples.py"))["make"](tmp_path, names=["hall-crimp.obj"])
    made, kept = sample_measures.groups_of(again), sample_measures.groups_of(FOLDER / "hall-crimp.obj")
    assert made.keys() == kept.keys()
    for group, mesh in made.items():
        assert mesh.volume == pytest.approx(kept[group].volume, rel=1e-4)
        assert mesh.area == pytest.approx(kept[group].area, rel=1e-4)
        assert np.allclose(mesh.bounds, kept[group].bounds, atol=2e-4 * np.ptp(mesh.bounds))


def test_another_seed_makes_another_sculpt(monkeypatch):
    monkeypatch.syspath_prepend(str(FOLDER))
    blob = runpy.run_path(str(FOLDER / "strokes.py"))["blob"]
    first, again, other = (blob((0, 0, 0), (5, 5, 5), np.random.default_rng(seed))[0] for seed in (7, 7, 8))
    assert np.array_equal(first, again)
    assert np.abs(first - other).max() > 0.1


@pytest.mark.parametrize("name", NAMES)
def test_faces_are_quads_and_polygons_some_of_them_concave(name):
    vertices, faces = polygons(FOLDER / name)
    corners = np.array([len(face) for face in faces])
    assert (corners == 4).mean() > 0.8
    assert any(is_concave(vertices[face]) for face in faces if len(face) > 4)


@pytest.mark.parametrize("name", NAMES)
def test_the_fused_solid_has_the_volume_that_winding_numbers_give(name):
    hold = after(name, "import_sculpt").hold
    scale = np.linalg.det(hold.placement[:3, :3])
    expected = EXPECTED["samples"][name]["fused_volume"]
    assert hold.whole.volume / scale == pytest.approx(expected, rel=EXPECTED["tolerance"]["fused_volume"])


@pytest.mark.parametrize("name", NAMES)
def test_it_is_turned_and_scaled_as_ground_block_and_room_say(name):
    hold = after(name, "scale_to_envelope").hold
    tolerance = EXPECTED["tolerance"]["size_at_120"]
    size = hold.whole.size * 120.0 / circle(hold.whole)
    assert size == pytest.approx(EXPECTED["samples"][name]["size_at_120"], abs=tolerance)
    assert circle(after(name, "trim_base").hold.whole) == pytest.approx(120.0, abs=0.05)


def circle(solid: Solid) -> float:
    """Diameter of GEOS's minimum bounding circle of the silhouette, through shapely."""
    return 2.0 * float(shapely.minimum_bounding_radius(shapely.MultiPoint(solid.vertices[:, :2])))


@pytest.mark.parametrize("name", NAMES)
def test_it_finishes_into_a_shell_and_a_core(name):
    hold = finished(name).hold
    assert [finding.message for finding in finished(name).findings if finding.severity == "error"] == []
    assert set(hold.solids) == {SHELL, CORE}
    parts = [judged(hold.solids[part]) for part in (SHELL, CORE)]
    for part in parts:
        assert part.is_volume
    assert [part.body_count for part in parts] == [1, 1 + len(hold.find(Collar))]
    bored = judged(after(name, "cut_bore").hold.whole)
    assert bored.is_volume
    relieved = judged(after(name, "relieve_back").hold.whole)
    assert sum(part.volume for part in parts) == pytest.approx(relieved.volume, rel=1e-9)
    assert len(hold.find(TipCut)) == TIPS[name]
    (bore,), (rim,) = hold.find(Bore), hold.find(Rim)
    assert bore.thickness_under_seat >= 12.0
    assert rim.area > 5000.0


@pytest.mark.parametrize("name", NAMES)
def test_it_holds_as_it_ships_with_no_warning_of_the_joint(name):
    joint = finished(name).joint
    findings = [each for found in joint.findings.values() for each in found]
    assert {each.severity for each in findings} == {"note"}
    assert "holds_with_screws" in {each.code for each in findings}
    (card,) = joint.cards
    assert card.screws.value == 0
    assert card.screws.range.high == 0
    low, high = card.window.range
    assert low <= card.conditions.torque <= high


@pytest.mark.parametrize(
    ("name", "known"), [("hall-crimp.obj", 14.4), ("hall-sloper.obj", 19.7), ("hall-jug.obj", 23.5)]
)
def test_their_flat_backs_rub_where_3d_elements_have_it(name, known):
    # Friction radius, mm, on a rigid wall: our own 3-D elastic computation without tension.
    bored = joint_shape(after(name, "cut_bore").hold).under([30.0], [RIGID])
    assert bored.contact.pressure.friction_radius == pytest.approx(known, rel=0.15)


def test_the_revised_jug_becomes_nearly_the_same_hold():
    first, second = finished("hall-jug.obj").hold, finished("hall-jug-revised.obj").hold
    before, after_week = first.find(Bore)[0], second.find(Bore)[0]
    assert np.hypot(before.x - after_week.x, before.y - after_week.y) < 5.0
    volumes = [sum(solid.volume for solid in hold.solids.values()) for hold in (first, second)]
    assert volumes[1] != pytest.approx(volumes[0], rel=1e-4)
    assert volumes[1] == pytest.approx(volumes[0], rel=0.1)


def polygons(path: Path) -> tuple[np.ndarray, list[list[int]]]:
    rows = [line.split() for line in path.read_text("ascii").splitlines()]
    vertices = np.array([row[1:] for row in rows if row[0] == "v"], dtype=float)
    return vertices, [[int(corner) - 1 for corner in row[1:]] for row in rows if row[0] == "f"]


def is_concave(corners: np.ndarray) -> bool:
    flat = corners - corners.mean(axis=0)
    across = flat @ np.linalg.svd(flat, full_matrices=False)[2][:2].T
    outline = shapely.Polygon(across)
    return bool(outline.is_valid and outline.area < 0.97 * outline.convex_hull.area)
