"""The wheel holds the program, its tables and its samples, and nothing else."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(scope="module")
def names(tmp_path_factory) -> set[str]:
    out = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = out.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_the_wheel_carries_tables_recipes_and_samples(names):
    assert "holdwright/_resources/recipes/starter.json" in names
    assert any(name.startswith("holdwright/_sample_data/") for name in names)
    assert "holdwright/cli/main.py" in names


def test_the_wheel_claims_one_name_only(names):
    tops = {name.split("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"holdwright"}
