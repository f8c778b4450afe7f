"""A recipe with a screw hole, from the command line to the files for the printer."""

import json
from pathlib import Path

import pytest
import trimesh

import shapes
from holdwright.cli.main import main
from holdwright.resources import resource_folder


def test_a_screw_hole_ends_up_in_the_core_as_a_collar_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe = json.loads((resource_folder() / "recipes" / "starter.json").read_text("utf-8"))
    step = {"id": "s8", "operation": "cut_screw_hole", "parameters": {"place": "at", "at": [45.0, 0.0]}}
    others = ("cut_screw_hole", "relieve_back")
    recipe["steps"] = [each for each in recipe["steps"] if each["operation"] not in others]
    recipe["steps"].insert(-1, step)
    (tmp_path / "screwed.json").write_text(json.dumps(recipe), "utf-8")
    solid = shapes.frustum(60.0, 52.0, 40.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(tmp_path / "puck.stl")
    words = [
        "replay",
        tmp_path / "screwed.json",
        tmp_path / "puck.stl",
        "--out",
        tmp_path / "out",
        "--pose=wall",
        "--set=split_core.collar_diameter=0",
    ]
    assert main([str(word) for word in words]) == 0
    assert "Traceback" not in capsys.readouterr().err
    report = json.loads((tmp_path / "out" / "puck.report.json").read_text("utf-8"))
    (told,) = [each for each in report["steps"] if each["operation"] == "cut_screw_hole"]
    assert told["result"].endswith("mm, at 45.0, 0.0 mm")
    core = trimesh.load(tmp_path / "out" / "puck-core.stl")
    assert core.is_watertight
    collar = min(core.split(), key=lambda piece: piece.volume)
    assert len(core.split()) == 2
    # One and a half heads of 10.4 mm across, round the place asked for.
    assert collar.extents[:2] == pytest.approx([15.6, 15.6], abs=0.02)
    assert collar.bounds[:, 0].mean() == pytest.approx(45.0, abs=0.02)


def test_the_step_is_listed_with_its_parameters(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["operations"]) == 0
    told = capsys.readouterr().out
    assert "cut_screw_hole: Cut screw hole" in told
    assert "driver: above 0 to 100 mm; default 12 mm" in told
