"""What tests of the command line share."""

import json
from pathlib import Path

import pytest
import trimesh

import shapes
from cli.runs import ONE_STEP, Run
from holdwright.cli.main import main


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command, and gives its exit code and what it wrote on both ways out."""

    def running(*words: object) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out, told.err

    return running


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    """A recipe that does nothing but import."""
    path = tmp_path / "bare.json"
    path.write_text(json.dumps(ONE_STEP))
    return path


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    """A sculpt of one closed piece."""
    solid = shapes.boulder(50, segments=24)
    path = tmp_path / "jug.stl"
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(path)
    return path
