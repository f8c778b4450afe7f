"""``holdwright strength``, and the same figures in report and sheet of an export."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
import trimesh

import finished
import shapes
from cli.runs import Run
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.job import export
from holdwright.export.options import ExportOptions
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT
from holdwright.sheet.choice import SheetChoice
from holdwright.strength.hold_strength import hold_strength
from strength.lipped import lipped_hold

STEPS = [("import_sculpt", {"unit": "mm"}), ("trim_base", {}), ("cut_bore", {"screw": "M10 ISO 4762"})]


def recipe_of(folder: Path, steps: list[tuple[str, dict[str, object]]]) -> Path:
    listed = [
        {"id": f"s{n}", "operation": name, "parameters": values} for n, (name, values) in enumerate(steps, 1)
    ]
    path = folder / f"{len(steps)}.json"
    path.write_text(json.dumps({"format": 1, "steps": listed}))
    return path


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    solid = shapes.block(80.0, 70.0, 40.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(tmp_path / "block.stl")
    return tmp_path / "block.stl"


def test_a_block_is_computed_and_told_with_all_it_stands_on(run: Run, sculpt: Path, tmp_path: Path):
    arguments = "strength", recipe_of(tmp_path, STEPS), sculpt, "--cell", "6", "--no-changes", "--json"
    code, out, _ = run(*arguments, "--set", "print.shell_infill=100")
    found = json.loads(out)
    assert code == 0
    assert found["refused"] is None
    assert found["printed"] == ["whole PETG, solid"]
    assert found["breaks_at_n"]["low"] <= 1.001 * found["breaks_at_n"]["likely"] / 2.0
    assert found["cases"] == sorted(found["cases"], key=lambda each: each["by_tables_n"]["likely"])
    assert all(abs(each["force_n"] - 1600.0) < 10.0 for each in found["cases"])
    assert found["changes"] == []
    assert {each["code"] for each in found["findings"]} <= {"breaks_perhaps", "thin_for_cells"}
    assert "Not a test to any standard" in found["limits"]
    assert "safe" not in out


@pytest.mark.parametrize(
    ("steps", "change", "wanted"),
    [
        (2, "print.passes=2", "The hold has no bore, so that there is no strength to compute"),
        (1, "print.passes=2", "The hold has no bore"),
        (3, "print.shell_material=TPU 95A", "the tables do not tell what that bears once printed"),
        (3, "print.shell_infill=5", "the law holds from 15% to 60% and for 100%"),
    ],
)
def test_what_cannot_be_computed_is_one_sentence(
    run: Run, sculpt: Path, tmp_path: Path, steps, change, wanted
):
    code, _, told = run("strength", recipe_of(tmp_path, STEPS[:steps]), sculpt, "--set", change)
    assert code in (2, 4)
    assert wanted in told
    assert told.count("\n") == 1


def test_cells_are_named_or_given_in_mm(run: Run, sculpt: Path, tmp_path: Path):
    code, _, told = run("strength", recipe_of(tmp_path, STEPS), sculpt, "--cell", "tiny")
    assert code == 2
    assert "enter preview, fine, or up to 20 mm" in told


def test_report_and_sheet_say_what_was_computed(tmp_path: Path):
    solid = PrintParameters(shell_infill=100.0)
    result = hold_strength(lipped_hold(60.0), solid, load_catalogue(), 6.0, None, SILENT)
    job = finished.job()
    job = replace(job, replay=replace(job.replay, strength=result))
    done = export(job, tmp_path, ["stl"], options=ExportOptions(sheet=SheetChoice.of("html")))
    assert done.report.strength["cases"][0]["region"] == "whole"
    codes = [each.code for each in done.report.findings]
    assert ("breaks_early" in codes) == (result.worst.told.likely < result.worst.force)
    page = (tmp_path / "boulder.sheet.html").read_text("utf-8")
    assert "<h2>Strength</h2>" in page
    assert "Breaks first near" in page
    assert "Not a test to any standard" in page
    assert finished.job().replay.strength is None
    assert export(finished.job(), tmp_path / "without", ["stl"]).report.strength is None
