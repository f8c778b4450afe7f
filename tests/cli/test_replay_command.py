import errno
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import trimesh

import holdwright
import shapes
from holdwright.cli.main import main
from holdwright.hold.finding import Finding
from holdwright.operations.import_sculpt import ImportSculpt

Run = Callable[..., tuple[int, str, str]]

SOURCE = Path(holdwright.__file__).parent.parent

ONE_STEP = {"format": 1, "steps": [{"id": "s1", "operation": "import_sculpt", "parameters": {"unit": "mm"}}]}


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process: exit code, output, errors."""

    def running(*words: object) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out, told.err

    return running


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    path = tmp_path / "bare.json"
    path.write_text(json.dumps(ONE_STEP))
    return path


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    solid = shapes.boulder(50, segments=24)
    path = tmp_path / "jug.stl"
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(path)
    return path


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def report_of(folder: Path, name: str) -> Any:
    return json.loads((folder / f"{name}.report.json").read_text("utf-8"))


def test_files_and_summary(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, told, errors = run("replay", recipe, sculpt, "--out", out)
    assert (code, errors) == (0, "")
    assert files(out) == ["jug-whole.stl", "jug.3mf", "jug.report.json"]
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
    assert files(out) == ["jug-2-whole.stl", "jug-2.report.json", "jug-whole.stl", "jug.report.json"]
    assert "jug-2" in told
    assert str(bad) in errors


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("missing.obj", None),
        ("empty.obj", b""),
        ("truncated.stl", "half"),
        ("page.stl", b"<html><body>not found</body></html>"),
        ("picture.obj", b"\x89PNG\r\n\x1a\n" + bytes(200)),
        ("nan.obj", b"v 0 0 0\nv 1 0 0\nv 0 nan 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"),
        ("far.obj", b"v 0 0 0\nv 1e30 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"),
        ("open.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 1 0.3\nf 1 2 3\nf 2 4 3\n"),
        ("flat.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\nf 3 2 1\n"),
    ],
)
def test_sculpts_that_are_refused(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, name: str, content: bytes | str | None
) -> None:
    path = tmp_path / name
    if content is not None:
        data = sculpt.read_bytes()
        path.write_bytes(data[: len(data) // 2] if content == "half" else content)  # type: ignore[arg-type]
    code, told, errors = run("replay", recipe, path, "--out", tmp_path / "out")
    assert code == 3
    assert told == ""
    assert errors.startswith("holdwright: ")
    assert errors.count("\n") == 1
    assert files(tmp_path / "out") == []


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (None, "no recipe file"),
        ("", "not JSON"),
        ("[]", "no recipe"),
        ('{"format": 99, "steps": []}', "newer Holdwright"),
        ({**ONE_STEP, "colour": "red"}, "colour"),
        (
            {"format": 1, "steps": [{"id": "s1", "operation": "import_sculpt", "parameters": {"unit": 7}}]},
            "unit",
        ),
        (
            {
                "format": 1,
                "steps": [{"id": "s1", "operation": "import_sculpt", "parameters": {"unti": "mm"}}],
            },
            "unti",
        ),
        ({"format": 1, "steps": [*ONE_STEP["steps"], {"id": "s2", "operation": "polish"}]}, "polish"),  # type: ignore[misc]
    ],
)
def test_recipes_that_are_refused(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, content: object, told: str
) -> None:
    if content is None:
        recipe.unlink()
    else:
        recipe.write_text(content if isinstance(content, str) else json.dumps(content))
    code, _, errors = run("replay", recipe, sculpt, "--out", tmp_path / "out")
    assert code == 2
    assert told in errors
    assert files(tmp_path / "out") == []


@pytest.mark.parametrize(
    "change", ["unit", "import_sculpt.unit", "s9.unit=mm", "s1.colour=red", "s1.unit=foot"]
)
def test_changes_that_make_no_sense(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, change: str
) -> None:
    code, _, errors = run("replay", recipe, sculpt, "--out", tmp_path / "out", "--set", change)
    assert code == 2
    assert errors.count("\n") == 1
    assert files(tmp_path / "out") == []


def test_usage(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    assert run("replay", recipe, sculpt)[0] == 2  # no folder
    assert run("replay", recipe, sculpt, "--out", tmp_path / "out", "--format", "step")[0] == 2
    assert run("replay", recipe, sculpt, "--out", tmp_path / "out", "--unit", "foot")[0] == 2
    assert run()[0] == 2
    assert run("polish")[0] == 2
    assert files(tmp_path / "out") == []


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


def test_no_sculpt_or_recipe_of_the_run_is_written_over(run: Run, recipe: Path, tmp_path: Path) -> None:
    solid = shapes.boulder(50, segments=24)
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    first, second, other = tmp_path / "q.3mf", tmp_path / "q-whole.stl", tmp_path / "other"
    for path in (first, second):
        mesh.export(path)
    kept = recipe.rename(tmp_path / "q.report.json")
    other.symlink_to(tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    for folder, kinds, met in (
        (tmp_path, "3mf", "q.3mf"),
        (other, "3mf", "q.3mf"),
        (tmp_path, "stl", "q-whole.stl"),
    ):
        code, _, errors = run("replay", kept, first, second, "--out", folder, "--format", kinds)
        assert code == 2
        assert f"as {met} there is a sculpt or recipe that is read; choose another folder" in errors
        assert first.read_bytes() == before["q.3mf"]
        assert second.read_bytes() == before["q-whole.stl"]
    assert run("replay", kept, first, "--out", tmp_path, "--format", "ply")[0] == 2
    assert kept.read_bytes() == before[kept.name]
    assert run("replay", kept, first, "--out", tmp_path / "out")[0] == 0


@pytest.mark.parametrize(
    ("formats", "told"),
    [("stl,stl", "lists stl twice"), ("stl,", "lists nothing at a comma"), ("", "nothing is")],
)
def test_formats_are_listed_once(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, formats: str, told: str
) -> None:
    code, _, errors = run("replay", recipe, sculpt, "--out", tmp_path / "out", "--format", formats)
    assert code == 2
    assert told in errors


def test_a_refused_check_is_told_in_json_too(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    (tmp_path / "empty.stl").write_bytes(b"")
    for about, code in (((recipe, tmp_path / "empty.stl"), 3), ((tmp_path / "none.json", sculpt), 2)):
        for command in ("check", "joint"):
            met, told, errors = run(command, *about, "--json")
            assert met == code
            assert errors == f"holdwright: {json.loads(told)['refused']}\n"
    assert json.loads(run("check", recipe, sculpt, "--json")[1])["refused"] is None


def test_a_number_with_a_unit_is_answered_with_the_unit_wanted(run: Run, sculpt: Path) -> None:
    code, _, errors = run("check", "starter", sculpt, "--set", "scale_to_envelope.diameter=12 cm")
    assert code == 2
    assert 'must be a plain number in mm, but is "12 cm"' in errors


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


def test_a_folder_that_is_a_file(run: Run, recipe: Path, sculpt: Path) -> None:
    code, _, errors = run("replay", recipe, sculpt, "--out", sculpt)
    assert code == 2
    assert "is a file and not a folder" in errors


def test_a_solid_that_vanishes_at_a_step(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    split = {"along": "point", "at": [1000, 1000], "wall_diameter": 20, "top_diameter": 10, "height": 20}
    content = {
        "format": 1,
        "steps": [*ONE_STEP["steps"], {"id": "s2", "operation": "split_core", "parameters": split}],
    }  # type: ignore[misc]
    recipe.write_text(json.dumps(content))
    code, _, errors = run("replay", recipe, sculpt, "--out", tmp_path / "out")
    assert code == 4
    assert "s2" in errors
    assert files(tmp_path / "out") == []


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
    assert files(tmp_path / "strict") == ["jug-whole.stl", "jug.3mf", "jug.report.json"]
    assert run("check", recipe, sculpt)[0] == 0
    assert run("check", recipe, sculpt, "--strict")[0] == 5
    code, told, _ = run("check", recipe, sculpt, "--json")
    assert json.loads(told)["findings"][0]["code"] == "crumbles"


@pytest.mark.parametrize(
    ("error", "code", "told"),
    [
        (KeyboardInterrupt(), 130, "Interrupted"),
        (MemoryError(), 4, "not enough memory"),
        (ZeroDivisionError("by zero"), 70, "please report it"),
        (OSError(errno.EIO, "Input/output error"), 2, "Input/output error"),
    ],
)
def test_what_nobody_expected(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    error: BaseException, code: int, told: str,
) -> None:  # fmt: skip
    def failing(*_: object, **__: object) -> None:
        raise error

    for name in ("replay_command", "replaying"):
        monkeypatch.setattr(f"holdwright.cli.{name}.replay", failing)
    for words in (("replay", recipe, sculpt, "--out", tmp_path / "out"), ("check", recipe, sculpt)):
        met, _, errors = run(*words)
        assert met == code
        assert told in errors
    assert files(tmp_path / "out") == []


def test_a_traceback_on_request_alone(
    recipe: Path, sculpt: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def failing(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    for name in ("replay_command", "replaying"):
        monkeypatch.setattr(f"holdwright.cli.{name}.replay", failing)
    monkeypatch.setenv("HOLDWRIGHT_DEBUG", "1")
    assert main(["check", str(recipe), str(sculpt)]) == 70
    assert "Traceback" in capsys.readouterr().err


def test_schema_needs_nothing_else(run: Run) -> None:
    code, told, _ = run("replay", "--schema")
    assert code == 0
    schema = json.loads(told)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert {"sculpt", "recipe", "steps", "whole", "solids", "findings"} <= set(schema["properties"])


def test_the_report_fits_the_schema(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    schema = json.loads(run("replay", "--schema")[1])
    run("replay", recipe, sculpt, "--out", tmp_path / "out")
    jsonschema.validate(report_of(tmp_path / "out", "jug"), schema)
