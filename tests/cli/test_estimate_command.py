"""``holdwright estimate``, and the same figures in the report of a replay."""

import json
from pathlib import Path

import pytest
import trimesh

import shapes
from cli.runs import Run

STEPS = [("import_sculpt", {"unit": "mm"}), ("trim_base", {})]


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    recipe, sculpt = tmp_path / "plain.json", tmp_path / "block.stl"
    steps = [
        {"id": f"s{n}", "operation": name, "parameters": values} for n, (name, values) in enumerate(STEPS, 1)
    ]
    recipe.write_text(json.dumps({"format": 1, "steps": steps}))
    solid = shapes.block(60.0, 50.0, 20.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(sculpt)
    return recipe, sculpt


def test_a_block_is_estimated_by_its_closed_form(run: Run, files: tuple[Path, Path]):
    code, out, _ = run(
        "estimate", *files, "--json", "--set", "print.top_layers=0", "--set", "print.bottom_layers=0"
    )
    found = json.loads(out)["print"]
    assert code == 0
    assert found["settings"]["top_layers"] == 0
    # Two passes of 1 mm all round, 35 % of the rest, PETG of 1.27 g/cm3.
    laid = (60 * 50 - 0.65 * 56 * 46) * 20.0
    assert found["whole"]["mass_g"]["likely"] == pytest.approx(laid * 1.27e-3, rel=1e-3)
    assert set(found) == {"settings", "whole"}


def test_the_report_says_the_same(run: Run, files: tuple[Path, Path], tmp_path: Path):
    recipe, sculpt = files
    _, out, _ = run("estimate", recipe, sculpt, "--json")
    run("replay", recipe, sculpt, "--out", tmp_path / "out")
    report = json.loads((tmp_path / "out" / "block.report.json").read_text())
    assert report["print"].pop("checks")
    assert report["print"] == json.loads(out)["print"]


def test_settings_that_do_not_go_together_stop_the_estimate_and_not_the_export(
    run: Run, files: tuple[Path, Path], tmp_path: Path
):
    recipe, sculpt = files
    change = ("--set", "print.nozzle=0.4")
    code, _, told = run("estimate", recipe, sculpt, *change)
    assert code == 2
    assert "Layers of 0.4 mm were asked for from a nozzle of 0.4 mm" in told
    code, _, _ = run("replay", recipe, sculpt, "--out", tmp_path / "out", *change)
    report = json.loads((tmp_path / "out" / "block.report.json").read_text())
    assert code == 0
    assert "a nozzle of 0.4 mm" in report["print"]["problem"]


def test_words_name_each_part_with_its_range(run: Run, files: tuple[Path, Path]):
    _, out, _ = run("estimate", *files)
    assert "whole PETG, infill 35%" in out
    assert "mass g" in out
    assert " to " in out
