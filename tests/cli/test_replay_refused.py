"""What holdwright replay and check refuse: its exit code, one sentence, and no files."""

import errno
import json
from pathlib import Path

import pytest
import trimesh

import shapes
from cli.runs import ONE_STEP, Run
from holdwright.cli.main import main
from mesh_files import names_in


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
    assert names_in(tmp_path / "out") == []


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
    assert names_in(tmp_path / "out") == []


@pytest.mark.parametrize(
    "change", ["unit", "import_sculpt.unit", "s9.unit=mm", "s1.colour=red", "s1.unit=foot"]
)
def test_changes_that_make_no_sense(
    run: Run, recipe: Path, sculpt: Path, tmp_path: Path, change: str
) -> None:
    code, _, errors = run("replay", recipe, sculpt, "--out", tmp_path / "out", "--set", change)
    assert code == 2
    assert errors.count("\n") == 1
    assert names_in(tmp_path / "out") == []


def test_usage(run: Run, recipe: Path, sculpt: Path, tmp_path: Path) -> None:
    assert run("replay", recipe, sculpt)[0] == 2  # no folder
    assert run("replay", recipe, sculpt, "--out", tmp_path / "out", "--format", "step")[0] == 2
    assert run("replay", recipe, sculpt, "--out", tmp_path / "out", "--unit", "foot")[0] == 2
    assert run()[0] == 2
    assert run("polish")[0] == 2
    assert names_in(tmp_path / "out") == []


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
    assert names_in(tmp_path / "out") == []


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
    assert names_in(tmp_path / "out") == []


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
