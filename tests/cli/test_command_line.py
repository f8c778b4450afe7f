import json
import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from holdwright.cli import shared_arguments
from holdwright.cli.main import main
from holdwright.export.formats import DEFAULT_FORMATS, FORMATS
from holdwright.files.format_detection import READ
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import describe
from holdwright.units import MILLIMETRES

SOURCE = Path(holdwright.__file__).parent.parent
HEAVY = ("numpy", "scipy", "pydantic", "manifold3d", "trimesh", "vtkmodules", "PySide6", "tqdm")


def python(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code], cwd=SOURCE, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["replay", "--help"], ["polish"]])
def test_help_imports_nothing_heavy(words: list[str]) -> None:
    ended = python(
        f"import sys; from holdwright.cli.main import main; main({words!r});"
        "print(*{name.partition('.')[0] for name in sys.modules}, file=sys.stderr)"
    )
    loaded = set(ended.stderr.splitlines()[-1].split())
    assert "argparse" in loaded
    assert not loaded & set(HEAVY)


def test_as_a_module() -> None:
    ended = subprocess.run(
        [sys.executable, "-m", "holdwright", "--version"],
        cwd=SOURCE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (0, f"holdwright {holdwright.__version__}\n")


def test_a_reader_who_has_seen_enough() -> None:
    program = [sys.executable, "-m", "holdwright", "operations"]
    with subprocess.Popen(program, cwd=SOURCE, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
    assert running.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a stream that is always full")
def test_output_that_cannot_be_written() -> None:
    program = [sys.executable, "-m", "holdwright", "operations", "trim_base"]
    with Path("/dev/full").open("w") as full:
        told = subprocess.PIPE
        ended = subprocess.run(program, cwd=SOURCE, stdout=full, stderr=told, text=True, check=False)
    assert ended.returncode == 2
    assert ended.stderr.startswith("holdwright: The system reports: ")
    assert ended.stderr.count("\n") == 1


def test_without_streams(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    assert main(["operations"]) == 0
    assert main(["operations", "polish"]) == 2
    sys.stdout.close()
    sys.stderr.close()


def test_help_says_what_to_be_careful_of(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    for words in ("not a test to any standard", "re-torque", "retire", "local codes", "exit codes"):
        assert words in told


def test_help_names_what_the_package_knows() -> None:
    assert set(shared_arguments.UNITS) - {"file"} == set(MILLIMETRES)
    assert f"{READ} file" == shared_arguments.SCULPT
    assert "".join(shared_arguments.FORMATS.split()).split(",") == list(FORMATS)
    assert tuple(shared_arguments.DEFAULT_FORMATS.split(",")) == DEFAULT_FORMATS


def test_operations_are_all_described(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["operations"]) == 0
    told = capsys.readouterr().out
    for operation in OPERATIONS:
        assert f"{operation.name}: {operation.title}" in told
        for field in describe(operation.parameters):
            assert f"  {field.name}: " in told


def test_operations_of_one_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["operations", "trim_base"]) == 0
    assert "import_sculpt" not in capsys.readouterr().out
    assert main(["operations", "polish"]) == 2
    assert "import_sculpt" in capsys.readouterr().err


def test_operations_as_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["operations", "--schema"]) == 0
    schemas = json.loads(capsys.readouterr().out)
    assert list(schemas) == [operation.name for operation in OPERATIONS]
    assert schemas["import_sculpt"]["properties"]["unit"]["enum"]
