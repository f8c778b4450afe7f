"""Files changed at random: an exit code and a sentence, never a fault of the program, nothing half written.

A few here; more with HOLDWRIGHT_MUTATED_MESHES=500 and HOLDWRIGHT_MUTATED_RECIPES=400.
"""

import collections
import os
import random
import sys
from pathlib import Path

import pytest
import trimesh

from cli.mutations import mutated, mutated_recipe
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.main import main
from holdwright.errors import LONGEST_SENTENCE
from holdwright.pipeline.recipes.recipe_file import dump_recipe, find_recipe, load_recipe
from mesh_files import write_obj
from shapes import block, boulder

MESHES = int(os.environ.get("HOLDWRIGHT_MUTATED_MESHES", "21"))
RECIPES = int(os.environ.get("HOLDWRIGHT_MUTATED_RECIPES", "12"))


def ended(words: list[str], capsys: pytest.CaptureFixture[str], about: str) -> int:
    """Run a command and hold what it says and its code to what every input may lead to."""
    capsys.readouterr()
    code = main(words)
    said = capsys.readouterr()
    assert code in (0, 2, 3, 4), f"{about}: {code} {said.err}"
    assert "Traceback" not in said.err, about
    assert (code == 0) == (not said.err) or words[0] == "inspect", f"{about}: {said.err}"
    assert all(len(line) <= LONGEST_SENTENCE + 40 for line in said.err.splitlines()), about
    return code


def written(folder: Path) -> set[str]:
    """Name all that stands in a folder; a report comes with every set of files."""
    names = {path.name for path in folder.iterdir()} if folder.exists() else set()
    assert not {name for name in names if name.startswith(".")}
    return names


def tell(codes: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Print how many ended with each exit code."""
    with capsys.disabled():
        sys.stderr.write(f"\n{codes}\n")


def meshes(folder: Path) -> list[tuple[str, bytes]]:
    """One small sculpt in every format read."""
    solid = boulder(30.0, 0.15, 2, 16)
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    found = [(".obj", write_obj(folder / "base.obj", solid).read_bytes())]
    found += [(f".{ending}", mesh.export(file_type=ending)) for ending in ("stl", "ply", "glb", "3mf")]
    found.append((".stl", mesh.export(file_type="stl_ascii").encode()))
    found.append((".ply", mesh.export(file_type="ply", encoding="ascii")))
    return found


@pytest.mark.timeout(36_000)
def test_mutated_meshes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    load_catalogue()
    bases, codes = meshes(tmp_path), collections.Counter[int]()
    for seed in range(MESHES):
        choose = random.Random(seed)
        ending, content = bases[seed % len(bases)]
        path, out = tmp_path / f"sculpt{ending}", tmp_path / f"out{seed}"
        path.write_bytes(mutated(content, choose))
        about = f"mesh {seed}"
        code = ended(["inspect", str(path), "--time", "120"], capsys, about)
        codes[code] += 1
        if seed % 5 == 0:
            words = ["replay", "starter", str(path), "--unit", "mm", "--out", str(out), "--time", "120"]
            finished = ended(words, capsys, about) == 0
            assert bool(written(out)) == finished, about
    assert codes[0], codes
    assert codes[3], codes
    tell(f"{MESHES} mutated meshes: {dict(codes)}", capsys)


@pytest.mark.timeout(36_000)
def test_mutated_recipes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    load_catalogue()
    sculpt = write_obj(tmp_path / "sculpt.obj", block(120.0, 90.0, 50.0))
    base = dump_recipe(load_recipe(find_recipe("starter")))
    base["source"] = {"path": "sculpt.obj", "digest": "00"}
    path, codes = tmp_path / "recipe.json", collections.Counter[int]()
    for seed in range(RECIPES):
        path.write_bytes(mutated_recipe(base, random.Random(seed)))
        out = tmp_path / f"out{seed}"
        code = ended(["replay", str(path), str(sculpt), "--out", str(out)], capsys, f"recipe {seed}")
        codes[code] += 1
        names = written(out)
        assert bool(names) == (code == 0), f"recipe {seed}"
        assert not names or any(name.endswith(".json") for name in names), f"recipe {seed}"
    assert codes[2], codes
    tell(f"{RECIPES} mutated recipes: {dict(codes)}", capsys)
