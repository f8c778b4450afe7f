import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import trimesh

import holdwright
import shapes
from cli.runs import ONE_STEP, Run
from holdwright.hold.finding import Finding
from holdwright.operations.import_sculpt import ImportSculpt
from mesh_files import names_in

SOURCE = Path(holdwright.__file__).parent.parent


def report_of(folder: Path, name: str) -> Any:
    return json.loads((folder / f"{name}.report.json").read_text("utf-8"))


def test_files_and_summary(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, told, errors = run("replay", recipe, sculpt, "--out", out)
    assert (code, errors) == (0, "")
    assert names_in(out) == ["jug-whole.stl", "jug.3mf", "jug.report.json"]
    for line in ("jug", "size", "volume", "findings  ", "jug.report.json"):
        assert line in told
    assert report_of(out, "jug")["recipe"]["name"] == "bare"


def test_a_changed_sculpt_is_noted_where_the_recipe_names_it(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path
) -> None:
    recipe.write_text(json.dumps({**ONE_STEP, "source": {"path": sculpt.name, "digest": "00ff"}}))
    other = tmp_path / "other.stl"
    other.write_bytes(sculpt.read_bytes())
    code, told, errors = run("replay", recipe, sculpt, other, "--out", tmp_path / "out")
    assert (code, errors) == (0, "")
    assert told.count("was changed since the recipe was saved") == 1
    digest = report_of(tmp_path / "out", "jug")["sculpt"]["digest"]
    recipe.write_text(json.dumps({**ONE_STEP, "source": {"path": sculpt.name, "digest": digest}}))
    assert "was changed" not in run("replay", recipe, sculpt, "--out", tmp_path / "out")[1]


def test_a_name_the_terminal_cannot_show(recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    named = tmp_path / "Überhang 日本.stl"
    named.write_bytes(sculpt.read_bytes())
    program = [sys.executable, "-m", "holdwright", "replay", recipe, named, "--out", tmp_path / "out"]
    surroundings = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONPATH": str(SOURCE)}
    ended = subprocess.run(program, env=surroundings, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert report_of(tmp_path / "out", "Überhang 日本")["sculpt"]["name"] == "Überhang 日本"


def test_unit_and_set(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("replay", recipe, sculpt, "--out", out, "--unit", "cm")[0] == 0
    by_unit = report_of(out, "jug")
    assert run("replay", recipe, sculpt, "--out", out, "--set", "import_sculpt.unit=cm")[0] == 0
    by_set = report_of(out, "jug")
    assert by_unit["solids"] == by_set["solids"]
    assert by_unit["recipe"]["content"]["steps"][0]["parameters"]["unit"] == "cm"
    assert by_unit["whole"]["volume_mm3"] == pytest.approx(shapes.boulder(50, segments=24).volume * 1e3)


def test_the_unit_may_be_the_files_own(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    """glTF 2.0 is in metres by its specification, 3.4; STL says nothing of its unit."""
    solid = shapes.boulder(50, segments=24)
    trimesh.Trimesh(solid.vertices / 1000, solid.triangles, process=False).export(tmp_path / "jug.glb")
    out = tmp_path / "out"
    assert run("replay", recipe, tmp_path / "jug.glb", "--out", out, "--unit", "file")[0] == 0
    assert report_of(out, "jug")["whole"]["volume_mm3"] == pytest.approx(solid.volume, rel=1e-5)
    code, _, told = run("replay", recipe, sculpt, "--out", tmp_path / "other", "--unit", "file")
    assert code == 4
    assert "file says none" in told


def test_several_sculpts_go_on_after_one_is_refused(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    bad = tmp_path / "bad.stl"
    bad.write_bytes(b"")
    twin = tmp_path / "twin" / "jug.stl"
    twin.parent.mkdir()
    twin.write_bytes(sculpt.read_bytes())
    code, told, errors = run("replay", recipe, bad, sculpt, twin, "--out", out, "--format", "stl")
    assert code == 3
    assert names_in(out) == ["jug-2-whole.stl", "jug-2.report.json", "jug-whole.stl", "jug.report.json"]
    assert "jug-2" in told
    assert str(bad) in errors


def test_the_report_tells_of_each_piece_in_mm_of_the_finished_hold(
    run: Run, recipe: Path, tmp_path: Path
) -> None:
    solid = shapes.boulder(50, segments=24)
    torn = trimesh.Trimesh(solid.vertices / 7, solid.triangles[1:], process=False)
    bit = trimesh.creation.box((1, 1, 1))
    bit.apply_translation((100, 0, 0))
    trimesh.Scene({"jug": torn, "bit": bit}).export(tmp_path / "torn.obj")
    scale = {"id": "s2", "operation": "scale_to_envelope", "parameters": {"rule": "width", "length": 200}}
    content = {"format": 1, "steps": [{"id": "s1", "operation": "import_sculpt"}, scale]}
    recipe.write_text(json.dumps(content))
    out = tmp_path / "out"
    assert run("replay", recipe, tmp_path / "torn.obj", "--out", out, "--format", "stl")[0] == 0
    report = report_of(out, "torn")
    jsonschema.validate(report, json.loads(run("replay", "--schema")[1]))
    told = {piece["name"]: piece for piece in report["pieces"]}
    jug, loose = told["jug"], told["bit"]
    assert (jug["left_out"], jug["grade"], jug["counted"]) == (
        False,
        "mended",
        [{"what": "holes closed", "count": 1}],
    )
    assert jug["size_mm"][0] == pytest.approx(200, rel=1e-3)
    assert jug["volume_before_mm3"] is None
    assert jug["volume_after_mm3"] == pytest.approx(report["whole"]["volume_mm3"], rel=1e-3)
    assert jug["distance"]["sculpt_to_solid"]["largest_mm"] == pytest.approx(0.0, abs=1e-3)
    assert (loose["left_out"], loose["reason"]) == (True, "loose piece")
    assert loose["volume_before_mm3"] == loose["volume_after_mm3"]


@pytest.mark.skipif(sys.platform != "linux", reason="names of other bytes than letters")
def test_a_name_that_is_no_text(recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    named = tmp_path / "j\udcffug.stl"
    named.write_bytes(sculpt.read_bytes())
    surroundings = {**os.environ, "PYTHONPATH": str(SOURCE)}
    for words in (
        ["inspect", named],
        ["inspect", named.with_suffix(".obj")],
        ["check", recipe, named, "--json"],
    ):
        program = [sys.executable, "-m", "holdwright", *words]
        ended = subprocess.run(program, env=surroundings, capture_output=True, text=True, check=False)
        assert ("j?ug" if "--json" in words else "j\\xffug") in ended.stdout
        assert "udcff" not in ended.stdout + ended.stderr


def test_an_error_finding_counts_under_strict_alone(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    apply = ImportSculpt.apply

    def found(self: ImportSculpt, *given: Any) -> Any:
        outcome = apply(self, *given)
        return replace(
            outcome, findings=(Finding("crumbles", "error", "It crumbles.", advice="Do not hang it."),)
        )

    monkeypatch.setattr(ImportSculpt, "apply", found)
    code, told, _ = run("replay", recipe, sculpt, "--out", tmp_path / "out")
    assert code == 0
    assert "error: It crumbles. [crumbles]" in told
    assert run("replay", recipe, sculpt, "--out", tmp_path / "strict", "--strict")[0] == 5
    assert names_in(tmp_path / "strict") == ["jug-whole.stl", "jug.3mf", "jug.report.json"]
    assert run("check", recipe, sculpt)[0] == 0
    assert run("check", recipe, sculpt, "--strict")[0] == 5
    code, told, _ = run("check", recipe, sculpt, "--json")
    assert json.loads(told)["findings"][0]["code"] == "crumbles"


def test_the_report_fits_the_schema_and_one_that_lacks_a_part_or_has_more_does_not(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path
) -> None:
    code, told, _ = run("replay", "--schema")
    assert code == 0
    schema = json.loads(told)
    jsonschema.Draft202012Validator.check_schema(schema)
    run("replay", recipe, sculpt, "--out", tmp_path / "out")
    report = report_of(tmp_path / "out", "jug")
    fits = jsonschema.Draft202012Validator(schema).is_valid
    assert fits(report)
    assert {"sculpt", "recipe", "steps", "whole", "solids", "findings"} <= set(schema["required"])
    for name in schema["required"]:
        assert not fits({key: value for key, value in report.items() if key != name}), name
    assert not fits({**report, "colour": "red"})
    whole = report["solids"]["whole"]
    assert not fits({**report, "solids": {"whole": {**whole, "volume_mm3": "much"}}})
