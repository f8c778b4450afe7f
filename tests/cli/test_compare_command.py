"""``holdwright compare``: what a revised sculpt changes of the finished hold."""

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from scipy.spatial.transform import Rotation

from cli.runs import Run
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.solid import Solid
from mesh_files import write_obj
from shapes import block, boulder, sphere

STEPS = [
    ("import_sculpt", {"unit": "mm"}),
    ("trim_base", {"by": "height", "height": 20.0}),
    ("cut_bore", {"place": "at", "at": [25.0, -20.0]}),
]

MOTION = placement(
    1.25 * Rotation.from_euler("zx", [15.0, 10.0], degrees=True).as_matrix(), np.array([30.0, 20.0, -10.0])
)


def with_ball(size: float) -> Solid:
    lump = boulder(60.0, 0.25).kernel + sphere(12.0, 48).kernel.translate((45.0, 20.0, 20.0))
    return Solid.checked(lump + sphere(size, 64).kernel.translate((-20.0, 10.0, 62.0)))


@pytest.fixture(scope="module")
def recipe(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("recipes") / "plain.json"
    steps = [
        {"id": f"s{n}", "operation": name, "parameters": values} for n, (name, values) in enumerate(STEPS, 1)
    ]
    versions = {"trim_base": 2, "import_sculpt": 3, "cut_bore": 3}
    path.write_text(
        json.dumps(
            {"format": 1, "steps": [{**step, "version": versions[step["operation"]]} for step in steps]}
        )
    )
    return path


def test_a_revised_sculpt_that_was_moved_is_brought_back_and_what_changed_is_told(
    run: Run, recipe: Path, tmp_path: Path
):
    old, new = with_ball(20.0), with_ball(24.0)
    files = write_obj(tmp_path / "old.obj", old), write_obj(tmp_path / "new.obj", new.moved(MOTION))
    page = tmp_path / "page.html"
    code, out, _ = run("compare", recipe, *files, "--json", "--sheet", page)
    found = json.loads(out)
    assert code == 0
    written = page.read_text()
    assert written.count("data:image/png;base64") == 6, "both holds and the distance, from two sides"
    volume = next(each for each in found["figures"] if each["name"] == "volume")
    assert f"<td>{volume['new']:.1f} cm3</td>" in written
    assert "Findings gained" in written
    assert "The new sculpt lay" in written
    registration = found["registration"]
    middle = old.bounds.mean(axis=0)
    away = float(np.linalg.norm(move_points(MOTION, middle) - middle))
    assert registration["moved_mm"] == pytest.approx(away, rel=0.2)
    turn = Rotation.from_matrix(MOTION[:3, :3] / 1.25).magnitude()
    assert registration["turned_deg"] == pytest.approx(np.degrees(turn), abs=0.1)
    assert registration["scaled"] == pytest.approx(1.25, rel=1e-3)
    assert found["distance_mm"]["largest"] == pytest.approx(4.0, abs=0.3)
    assert found["distance_mm"]["gained"] == found["distance_mm"]["largest"]
    assert found["distance_mm"]["lost"] < 0.1
    assert found["distance_mm"]["mean"] < found["distance_mm"]["p95"] < 4.0
    assert found["size_mm"]["change"][2] == pytest.approx(4.0, abs=0.1)
    assert found["size_mm"]["change"][:2] == pytest.approx([0.0, 0.0], abs=0.05)
    volumes = found["volume_mm3"]
    assert volumes["change"] == pytest.approx(volumes["new"] - volumes["old"], abs=0.02)
    assert volumes["change"] > 0.0
    assert "sculpt_brought_back" in [each["code"] for each in found["findings"]["gained"]]
    names = [each["name"] for each in found["figures"]]
    assert {"mass, whole", "safety against slip", "wall round the bore"} <= set(names)


def test_the_very_file_has_not_changed(run: Run, recipe: Path, tmp_path: Path):
    file = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    code, out, _ = run("compare", recipe, file, file)
    assert code == 0
    assert out.startswith("lump to lump: size, volume and findings as before\n")
    assert "The new sculpt lies where the old one lay." in out
    assert "0.00 mm off on the mean, 95 % of it within 0.00 mm" in out


def test_two_recipes_are_compared_on_one_sculpt(run: Run, recipe: Path, tmp_path: Path):
    file = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    content = json.loads(recipe.read_text())
    steps = [{**step, "id": f"s{number}"} for number, step in enumerate(content["steps"], 11)]
    steps[1]["parameters"] = {"by": "height", "height": 23.0}
    other = tmp_path / "deeper.json"
    other.write_text(json.dumps({**content, "steps": steps}))
    page = tmp_path / "page.pdf"
    code, out, _ = run("compare", recipe, file, file, "--recipe-after", other, "--sheet", page)
    assert code == 0
    assert out.startswith("lump to lump: 3.0 mm shallower, ")
    assert "3.00 mm less at most" in out, "cut 3 mm deeper: the surface in front stays"
    text = pypdfium2.PdfDocument(page.read_bytes())[0].get_textpage().get_text_range()
    assert "-3.0 mm" in text
    assert "Findings gained" in text
    gained = out[out.index(" gained") :]
    assert "edge_not_cut" not in gained, "known by what a step does, not by its id"


def test_a_page_that_cannot_be_written_is_refused_at_once(run: Run, recipe: Path, tmp_path: Path):
    file = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    code, _, told = run("compare", recipe, file, file, "--sheet", tmp_path / "page.doc")
    assert code != 0
    assert "let the name end in .pdf or .html" in told
    code, _, told = run("compare", recipe, file, file, "--sheet", tmp_path / "none" / "page.pdf")
    assert code != 0
    assert "there is no such folder" in told


def test_another_sculpt_altogether_is_a_sentence(run: Run, recipe: Path, tmp_path: Path):
    old = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    new = write_obj(tmp_path / "plank.obj", block(150.0, 40.0, 40.0))
    code, out, told = run("compare", recipe, old, new, "--json")
    assert code == 3
    assert "plank.obj is to be compared as a revision of lump.obj, but only" in told
    assert "it is another sculpt altogether" in json.loads(out)["refused"]


def test_a_step_that_fails_names_the_sculpt(run: Run, recipe: Path, tmp_path: Path):
    old = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    code, _, told = run("compare", recipe, old, old, "--set", "s2.height=500")
    assert code == 4
    assert "lump.obj: Step 2" in told


def test_a_missing_file_is_a_sentence(run: Run, recipe: Path, tmp_path: Path):
    old = write_obj(tmp_path / "lump.obj", with_ball(20.0))
    code, _, told = run("compare", recipe, old, tmp_path / "none.obj")
    assert code == 3
    assert "Cannot read none.obj" in told
