"""What a user can write on the command line or into a recipe never ends in a fault of the program."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.main import main
from holdwright.entry import begin
from holdwright.errors import LONGEST_SENTENCE
from mesh_files import write_obj
from shapes import block


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    load_catalogue()  # once here, for all the children that are forked
    path = tmp_path / "block.obj"
    write_obj(path, block(80.0, 80.0, 40.0))
    return path


def recipe_file(folder: Path, steps: list[dict[str, Any]], **more: Any) -> Path:
    path = folder / "recipe.json"
    path.write_text(json.dumps({"format": 1, **more, "steps": steps}), encoding="utf-8")
    return path


def refused(words: list[str], capsys: pytest.CaptureFixture[str], *codes: int) -> str:
    """Run a command that is to be refused in one sentence, and give the sentence."""
    capsys.readouterr()
    code = main(words)
    printed = capsys.readouterr()
    said = printed.err or printed.out  # `inspect` tells a refusal as its verdict
    assert code in (codes or (2, 4)), said
    assert "Traceback" not in said
    assert 0 < max(map(len, said.splitlines())) <= LONGEST_SENTENCE + 40
    return said


JOINT = [
    [option, value]
    for option in ("--panel", "--torque", "--load", "--factor", "--overhang")
    for value in ("0", "-3", "nan", "inf", "1e9", "1e999", "x", "--")
    if (option, value) != ("--overhang", "0")
]


@pytest.mark.parametrize("words", JOINT, ids=" ".join)
def test_joint_conditions(words: list[str], sculpt: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refused(["joint", "starter", str(sculpt), f"{words[0]}={words[1]}"], capsys)


@pytest.mark.parametrize("seconds", ["0", "-3", "nan", "inf", "2147484", "1e300", "soon", "--"])
def test_time(seconds: str, sculpt: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refused(["inspect", str(sculpt), f"--time={seconds}"], capsys)


LONG = "a" * 300
PATHS = [LONG, "a\0b", LONG * 40, "\ud800", ""]


@pytest.mark.parametrize("name", PATHS, ids=["long", "nul", "endless", "surrogate", "blank"])
def test_names_of_files(name: str, sculpt: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    refused(["replay", name, str(sculpt), "--out", str(out)], capsys)
    refused(["replay", "starter", name, "--out", str(out)], capsys, 2, 3)
    refused(["check", "starter", name], capsys, 2, 3)
    refused(["inspect", name], capsys, 2, 3)
    if "\0" in name:
        refused(["replay", "starter", str(sculpt), "--out", name], capsys)
    refused(["joint", "starter", str(sculpt), "--screw", name], capsys)
    refused(["joint", "starter", str(sculpt), "--material", name], capsys)
    refused(["replay", "starter", str(sculpt), "--out", str(out), "--set", name], capsys)
    refused(["replay", "starter", str(sculpt), "--out", str(out), "--format", name], capsys)
    refused(["operations", name], capsys)
    refused(["inspect", str(sculpt), "--unit", name], capsys)
    assert not out.exists()


@pytest.mark.parametrize("name", [LONG, LONG * 40, "a\0b"], ids=["long", "endless", "nul"])
def test_a_lone_word_that_is_no_file(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert begin([name]) == 2
    assert "invalid choice" in capsys.readouterr().err


DEEP = "[" * 5000 + "]" * 5000
DEEPER = '{"a":' * 200_000 + "1" + "}" * 200_000


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("[" * 60 + "]" * 60, "The value of height is nested more than "),
        (DEEP, 'must be a plain number in mm, but is "[[['),
        (DEEPER, 'must be a plain number in mm, but is "{'),
        ("[" * 300_000, 'must be a plain number in mm, but is "[[['),
        ("NaN", "must be a finite number, but is NaN"),
        ("1e999", "must be a finite number, but is Infinity"),
        ("9" * 5000, 'must be a plain number in mm, but is "999'),
    ],
    ids=["below", "deep", "deeper", "unclosed", "nan", "infinite", "endless"],
)
def test_values_set(value: str, told: str, sculpt: Path, capsys: pytest.CaptureFixture[str]) -> None:
    error = refused(["check", "starter", str(sculpt), "--set", f"trim_base.height={value}"], capsys, 2)
    assert told in error


@pytest.mark.parametrize("value", ["[" * 60 + "]" * 60, DEEP, DEEPER], ids=["below", "deep", "deeper"])
@pytest.mark.parametrize("operation", ["import_sculpt", "polish"])
def test_deep_parameters(
    value: str, operation: str, sculpt: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recipe_file(tmp_path, [{"id": "s1", "operation": operation, "parameters": {"size": "here"}}])
    path.write_text(path.read_text("utf-8").replace('"here"', value), encoding="utf-8")
    out = tmp_path / "out"
    refused(["replay", str(path), str(sculpt), "--out", str(out)], capsys)
    assert not out.exists()


@pytest.mark.parametrize("source", ["a\0b", "\0", LONG * 40, ""], ids=["nul", "bare nul", "endless", "blank"])
def test_source_of_a_recipe(
    source: str, sculpt: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = with_source(tmp_path, source)
    out = tmp_path / "out"
    error = refused(["replay", str(path), str(sculpt), "--out", str(out), "--unit", "mm"], capsys, 2)
    assert "source.path: must name a file" in error
    assert not out.exists()


def test_a_source_whose_name_is_no_text_is_no_hindrance(sculpt: Path, tmp_path: Path) -> None:
    """Systems other than Windows allow such names, and JSON can write them."""
    path = with_source(tmp_path, "\ud800.obj")
    out = tmp_path / "out"
    assert main(["replay", str(path), str(sculpt), "--out", str(out), "--unit", "mm"]) == 0
    report = json.loads((out / "block.report.json").read_bytes().decode("utf-8"))
    assert report["recipe"]["content"]["source"]["path"].endswith(".obj")


def with_source(folder: Path, source: str) -> Path:
    """Write a recipe whose sculpt is said to be that file."""
    steps = [{"id": "s1", "operation": "import_sculpt"}]
    return recipe_file(folder, steps, source={"path": source, "digest": "ab"})


@pytest.mark.parametrize("tables", ["~nouser/x", "~nouser", LONG, "loop.toml", "/dev/zero"])
def test_tables_named(
    tables: str,
    sculpt: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if tables == "loop.toml":
        (tmp_path / tables).symlink_to(tmp_path / tables)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOLDWRIGHT_TABLES", tables)
    refused(["joint", "starter", str(sculpt)], capsys)


@pytest.mark.parametrize(
    "points",
    [
        [[1.0, 1.0, 0.0]] * 3,
        [[1e308, 0.0, 0.0], [-1e308, 0.0, 0.0], [0.0, 1e308, 0.0]],
        [[0.0, 0.0, 0.0], [1e-200, 0.0, 0.0], [0.0, 1e-200, 0.0]],
        [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [20.0, 0.0, 0.0]],
    ],
    ids=["equal", "huge", "tiny", "in line"],
)
def test_points_of_the_back(
    points: list[list[float]], sculpt: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picks = json.dumps([{"point": point} for point in points])
    words = ["--set", "orient_to_base.by=points", "--set", f"orient_to_base.points={picks}"]
    error = refused(["check", "starter", str(sculpt), "--unit", "mm", *words], capsys)
    assert "nan" not in error
    assert "ouble" in error or "point" in error


@pytest.mark.skipif(sys.platform == "win32", reason="needs limits that a process can set itself")
@pytest.mark.parametrize("mebibytes", [20, 150, 300, 500])
def test_less_memory_than_the_program_needs(mebibytes: int, sculpt: Path) -> None:
    code = (
        f"import resource; resource.setrlimit(resource.RLIMIT_DATA, ({mebibytes} << 20, -1));"
        f"from holdwright.cli.main import main; raise SystemExit(main(['check', 'starter', {str(sculpt)!r}]))"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ended.returncode == 4
    assert f"is allowed {mebibytes} MiB of memory" in ended.stderr
    assert ended.stderr.count("\n") == 1
