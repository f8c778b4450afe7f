"""What an export leaves in its folder, judged by reading the files again with trimesh."""

import hashlib
import json
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import lib3mf
import numpy as np
import pytest
import trimesh
from PIL import Image

import finished
from holdwright.errors import ExportError
from holdwright.export.formats import FORMATS
from holdwright.export.job import export
from holdwright.export.options import ExportOptions
from holdwright.export.report import report_schema
from holdwright.hold.finding import Finding
from holdwright.hold.hold import WHOLE
from holdwright.pipeline.recipes.recipe_file import load_recipe, recipe_digest
from holdwright.render import picture as drawing
from holdwright.sheet.choice import SheetChoice
from mesh_files import names_in


def loaded(path: Path) -> Any:
    return trimesh.load_mesh(path)


def test_default_files(tmp_path: Path) -> None:
    written = export(finished.job(), tmp_path)
    assert names_in(tmp_path) == [
        "boulder-core.stl",
        "boulder-shell.stl",
        "boulder.3mf",
        "boulder.report.json",
    ]
    assert sorted(path.name for path, _ in written.files) == names_in(tmp_path)
    assert written.older == ()


def test_all_formats(tmp_path: Path) -> None:
    made = finished.job()
    export(made, tmp_path, ["obj", "PLY", "stl", "3mf", "stl"])
    for ending in ("obj", "ply", "stl"):
        for part in ("shell", "core"):
            mesh = loaded(tmp_path / f"boulder-{part}.{ending}")
            assert mesh.is_volume
            assert mesh.volume == pytest.approx(made.replay.hold.solids[part].volume, rel=1e-6)
    scene = trimesh.load(tmp_path / "boulder.3mf")
    assert sorted(scene.geometry) == ["core", "shell"]
    assert len(names_in(tmp_path)) == 2 * 3 + 2


def test_a_whole_hold_is_one_file(tmp_path: Path) -> None:
    whole = finished.bored_boulder()
    made = finished.job("jug", {WHOLE: whole})
    report = export(made, tmp_path, ["stl"]).report
    assert names_in(tmp_path) == ["jug-whole.stl", "jug.report.json"]
    assert list(report.solids) == ["whole"]
    assert report.whole == report.solids["whole"]
    assert report.whole.files == ("jug-whole.stl",)


def test_report(tmp_path: Path) -> None:
    note = Finding(
        "thin_shell", "warning", "The shell is thin.", 4.0, 6.0, "mm", (1.0, 2.0, 3.0), "Thicken it."
    )
    made = finished.job(findings=(note,))
    export(made, tmp_path)
    report = json.loads((tmp_path / "boulder.report.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(report_schema())
    jsonschema.validate(report, report_schema())
    required = {"format", "sculpt", "recipe", "steps", "envelope", "features", "whole", "solids", "findings"}
    assert required <= set(report)
    assert report["format"] == 2
    assert report["sculpt"]["digest"] == made.sculpt.digest
    assert report["recipe"]["content"]["steps"][0]["operation"] == "import_sculpt"
    assert [step["id"] for step in report["steps"]] == ["s1", "s2", "s3"]
    assert set(report["steps"][0]) >= {"id", "operation", "seconds", "cached", "volume_mm3", "bounds_mm"}
    assert report["features"]["rim"]["height"] == 3.0
    assert report["features"]["bores"][0]["clearance_diameter"] == 10.5
    assert report["features"]["bores"][0]["axis"] == [0.0, 0.0, 1.0]
    assert report["features"]["tips"][0]["removed_mm3"] == 12.5
    (collar,) = report["features"]["collars"]
    assert collar == {"x": 30.0, "y": -10.0, "axis": [0.0, 0.0, 1.0], "diameter": 16.0, "top": 40.0}
    assert report["envelope"]["asked"] == {"rule": "circle", "values": [120.0]}
    assert report["findings"] == [
        {
            "step": "s3",
            "code": "thin_shell",
            "severity": "warning",
            "message": "The shell is thin.",
            "measured": 4.0,
            "limit": 6.0,
            "unit": "mm",
            "where": [1.0, 2.0, 3.0],
            "advice": "Thicken it.",
        }
    ]
    assert any("not a test to any standard" in caution for caution in report["cautions"])
    assert any("re-torque" in caution and "retire" in caution for caution in report["cautions"])


def test_figures_of_solids(tmp_path: Path) -> None:
    made = finished.job()
    report = export(made, tmp_path).report
    shell, core = report.solids["shell"], report.solids["core"]
    assert shell.volume_mm3 + core.volume_mm3 == pytest.approx(report.whole.volume_mm3, rel=1e-6)
    in_files = sum(loaded(tmp_path / f"boulder-{part}.stl").volume for part in ("shell", "core"))
    assert in_files == pytest.approx(report.whole.volume_mm3, rel=1e-5)
    for part, section in report.solids.items():
        mesh = loaded(tmp_path / f"boulder-{part}.stl")
        assert section.closed
        assert section.pieces == 1
        assert section.triangles == len(mesh.faces)
        assert section.area_mm2 == pytest.approx(mesh.area, rel=1e-6)
        np.testing.assert_allclose(section.bounds_mm, mesh.bounds - report.pose.shift, atol=1e-4)
        assert section.files == (f"boulder-{part}.stl", "boulder.3mf")
    assert report.whole.files == ()
    assert report.envelope.finished.size_mm[2] == pytest.approx(made.replay.hold.solids["shell"].size[2])


def test_files_are_named_with_their_digests(tmp_path: Path) -> None:
    report = export(finished.job(), tmp_path).report
    for file in report.files:
        data = (tmp_path / file.name).read_bytes()
        assert (file.bytes, file.sha256) == (len(data), hashlib.sha256(data).hexdigest())


def test_shrinkage_is_in_the_files_alone(tmp_path: Path) -> None:
    made = finished.job(shrinkage=2.0)
    report = export(made, tmp_path).report
    allowed = report.allowances
    assert {name: each.percent.likely for name, each in allowed.shrinkage.items()} == {"shell": 2, "core": 2}
    assert allowed.shrinkage["core"].factor == pytest.approx(1 / 0.98)
    assert allowed.true_size == report.envelope.finished.size_mm
    np.testing.assert_allclose(allowed.print_size, np.array(allowed.true_size) / 0.98, rtol=1e-9)
    exact = made.replay.hold.solids["core"]
    assert report.solids["core"].volume_mm3 == exact.volume
    assert loaded(tmp_path / "boulder-core.stl").volume == pytest.approx(exact.volume / 0.98**3, rel=1e-5)
    assert loaded(tmp_path / "boulder-core.stl").extents[2] == pytest.approx(exact.size[2] / 0.98, abs=1e-4)


def test_print_pose_lies_in_the_middle_of_the_bed_and_wall_pose_as_on_the_wall(tmp_path: Path) -> None:
    made = finished.job()
    solids = made.replay.hold.solids
    laid = export(made, tmp_path / "bed", ["stl"]).report.pose
    assert (laid.name, laid.turn, laid.fits, laid.build_volume) == ("print", 0.0, True, (350, 350, 400))
    low, high = loaded(tmp_path / "bed" / "boulder-shell.stl").bounds
    np.testing.assert_allclose([*(low + high)[:2] / 2, low[2]], [175, 175, 0], atol=1e-4)
    hung = export(made, tmp_path / "wall", ["stl"], options=ExportOptions("wall")).report.pose
    assert (hung.name, hung.shift, hung.fits) == ("wall", (0, 0, 0), None)
    mesh = loaded(tmp_path / "wall" / "boulder-core.stl")
    np.testing.assert_allclose(mesh.bounds, solids["core"].bounds, atol=1e-4)


def test_3mf_says_what_it_is_of_and_whose(tmp_path: Path) -> None:
    """Read by lib3mf; control characters in what was typed are escaped, blank wishes left out."""
    made = finished.job()
    options = ExportOptions(designer=" A. Maker\x1b[2J\n<b> ", licence="  ")
    report = export(made, tmp_path, ["3mf"], options=options).report
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(tmp_path / "boulder.3mf"))
    group = model.GetMetaDataGroup()
    rows = [group.GetMetaData(number) for number in range(group.GetMetaDataCount())]
    read = {each.GetName(): each.GetValue() for each in rows}
    assert read.keys() >= {"Title", "Designer", "Description", "CreationDate", "RecipeDigest"}
    assert "LicenseTerms" not in read
    assert read["Designer"] == "A. Maker\\x1b[2J\\n<b>"
    for said in ("shell PETG, infill 35%", "core PETG, infill 100%", "layers of 0.4 mm", "true size"):
        assert said in read["Description"]
    assert date.fromisoformat(read["CreationDate"]) <= date.today()
    assert read["RecipeDigest"] == recipe_digest(made.recipe)
    other = made.recipe.with_parameters("print", {"passes": 3})
    assert recipe_digest(other) != recipe_digest(made.recipe)
    assert report.recipe.digest == recipe_digest(made.recipe)


def test_a_picture_goes_into_3mf_alone_and_is_missed_without_opengl(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = finished.job()
    written = export(made, tmp_path, ["3mf"])
    with zipfile.ZipFile(tmp_path / "boulder.3mf") as package:
        pictured = "Metadata/thumbnail.png" in package.namelist()
        if pictured:
            with Image.open(package.open("Metadata/thumbnail.png")) as picture:
                assert (picture.format, picture.size) == ("PNG", (256, 256))
    assert pictured == (not written.note)

    def no_opengl(*_: object) -> bytes:
        raise ExportError("There is no OpenGL.")

    monkeypatch.setattr(drawing, "picture_of", no_opengl)
    written = export(made, tmp_path, ["3mf"])
    assert written.note == "the 3MF file has no picture of the hold. There is no OpenGL."
    assert zipfile.ZipFile(tmp_path / "boulder.3mf").namelist()[-1] == "3D/3dmodel.model"
    assert not export(made, tmp_path, ["stl"]).note


def test_an_export_is_repeatable(tmp_path: Path) -> None:
    first = export(finished.job(), tmp_path / "a").report
    second = export(finished.job(), tmp_path / "b").report
    assert first.files == second.files


def test_files_of_an_earlier_run_are_told_of(tmp_path: Path) -> None:
    export(finished.job(parts={WHOLE: finished.bored_boulder()}), tmp_path, ["stl", "obj"])
    written = export(finished.job(), tmp_path, ["stl"])
    assert sorted(path.name for path in written.older) == ["boulder-whole.obj", "boulder-whole.stl"]


def test_names_and_figures_that_json_does_not_know(tmp_path: Path) -> None:
    endless = Finding("odd", "note", "Odd \udcff.", float("inf"), float("nan"))
    export(finished.job("j\udcffug", findings=(endless,)), tmp_path, list(FORMATS))
    text = (tmp_path / "j\udcffug.report.json").read_text("utf-8")
    report = json.loads(text, parse_constant=lambda constant: pytest.fail(constant))
    assert report["sculpt"]["name"] == "j?ug"
    assert (report["findings"][0]["measured"], report["findings"][0]["limit"]) == (None, None)


def test_chosen_parts_alone(tmp_path: Path) -> None:
    made = finished.job()
    export(made, tmp_path, ["stl", "3mf"])
    written = export(made, tmp_path, ["stl", "3mf"], parts=["shell"])
    assert [path.name for path, _ in written.files] == [
        "boulder-shell.stl",
        "boulder.3mf",
        "boulder.report.json",
    ]
    assert [path.name for path in written.older] == ["boulder-core.stl"]
    assert list(written.report.solids) == ["shell"]
    assert list(trimesh.load(tmp_path / "boulder.3mf").geometry) == ["shell"]


def test_a_sheet_is_written_with_the_files_and_named_in_the_report(tmp_path: Path) -> None:
    for kind, start in (("pdf", b"%PDF-"), ("html", b"<!doctype html>")):
        done = export(finished.job(), tmp_path, ["stl"], options=ExportOptions(sheet=SheetChoice.of(kind)))
        path = tmp_path / f"boulder.sheet.{kind}"
        content = path.read_bytes()
        assert content.startswith(start)
        listed = {each.name: each.sha256 for each in done.report.files}
        assert listed[path.name] == hashlib.sha256(content).hexdigest()
    assert done.older == (tmp_path / "boulder.sheet.pdf",)


def test_what_is_kept_with_a_hold_can_be_replayed_and_looked_at(tmp_path):
    job = finished.job()
    done = export(job, tmp_path / "out", ["stl"], options=ExportOptions(keep=True))
    recipe = tmp_path / "out" / f"{job.name}.recipe.json"
    assert recipe_digest(load_recipe(recipe)) == recipe_digest(job.recipe)
    pictures = sorted((tmp_path / "out").glob("*.png"))
    assert [path.name.removeprefix(f"{job.name}-") for path in pictures] == [
        "back.png",
        "corner.png",
        "front.png",
    ]
    for path in pictures:
        with Image.open(path) as picture:
            assert picture.size == (1024, 1024)
    listed = {file.name for file in done.report.files} | {f"{job.name}.report.json"}
    assert (
        listed
        == {path.name for path in (tmp_path / "out").iterdir()}
        == {path.name for path, _ in done.files}
    )
