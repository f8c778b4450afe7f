"""Whole sets, made by the command."""

import csv
import io
import json
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

import shapes
from holdwright.cli.main import main
from holdwright.pipeline.recipes.recipe_file import save_recipe
from holdwright.resources import sample_folder
from holdwright.wall.hanging_hold import hanging_holds
from recipes import plain_starter

PUCK = {"sculpt": "puck.stl", "recipe": "plain.json"}
HOLDS = [
    {**PUCK, "count": 3},
    {**PUCK, "size": 90, "mirror": True},
    {"sculpt": "nowhere.obj", "recipe": "plain.json", "name": "gone"},
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a set of three holds, one of whose sculpts is missing."""
    path = tmp_path_factory.mktemp("set")
    solid = shapes.frustum(60.0, 52.0, 40.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(path / "puck.stl")
    recipe = plain_starter()
    bore = next(step.id for step in recipe.steps if step.operation == "cut_bore")
    save_recipe(recipe.with_parameters(bore, {"place": "at", "at": (0.0, 0.0)}), path / "plain.json")
    (path / "wall.json").write_text(json.dumps({"format": 1, "name": "Wall", "holds": HOLDS}), "utf-8")
    return path


def run(folder: Path, out: Path, *more: str) -> int:
    return main(["set", str(folder / "wall.json"), "--out", str(out), *more])


@pytest.fixture(scope="module")
def made(folder: Path) -> Path:
    """Make the set once."""
    assert run(folder, folder / "out") == 3
    return folder / "out"


def report(out: Path) -> dict[str, Any]:
    return json.loads((out / "set.report.json").read_text("utf-8"))


def own_report(out: Path, name: str) -> dict[str, Any]:
    return json.loads((out / name / f"{name}.report.json").read_text("utf-8"))


def test_one_that_fails_stops_no_other(made):
    told = report(made)
    assert told["statuses"] == {"finished": 2, "failed": 1}
    by_name = {hold["name"]: hold for hold in told["holds"]}
    assert list(by_name) == ["puck", "puck-mirrored-90", "gone"]
    assert "nowhere.obj cannot be read: No such file" in by_name["gone"]["message"]
    assert by_name["puck-mirrored-90"]["finished"]["circle_mm"] == pytest.approx(90.0, abs=0.1)
    assert by_name["puck"]["plates"]


def test_the_shopping_list_is_what_the_holds_reports_say(made):
    """Count again, by the reports of the holds and nothing of ours."""
    wanted: Counter[str] = Counter()
    grams = 0.0
    for name, count in (("puck", 3), ("puck-mirrored-90", 1)):
        told = own_report(made, name)
        for bore in told["joint"]["bores"]:
            wanted[bore["bolt"]["name"]] += count
            wanted[bore["washer"]] += count
            wanted[bore["t_nut"]] += count
        for screw in told["joint"]["bores"][0]["screws_there"] + told["joint"]["bores"][0]["screws_to_set"]:
            wanted[f"{screw['screw']}, {screw['length_mm']:g} mm"] += count
        grams += count * told["print"]["both"]["mass_g"]["likely"]
    rows = list(csv.DictReader(io.StringIO((made / "shopping-list.csv").read_text("utf-8"))))
    pieces = {row["item"]: int(row["quantity"]) for row in rows if row["unit"] == "pieces"}
    assert pieces == wanted
    (filament,) = [row for row in rows if row["kind"] == "filament"]
    assert (filament["item"], float(filament["quantity"])) == (
        "PETG",
        pytest.approx(grams / 1000.0, abs=0.001),
    )


def test_plates_hold_every_copy_true_to_size(made):
    """Read with trimesh, a second reader: as many bodies and as much volume as the holds have."""
    volume, copies = 0.0, 0
    for plate in report(made)["plates"]:
        scene = trimesh.load(made / plate["file"])
        bodies = scene.dump()
        volume += sum(body.volume for body in bodies)
        copies += len(plate["holds"])
        low, high = scene.bounds
        assert low[2] == pytest.approx(0.0, abs=1e-3)
        assert (low[:2] > 4.9).all()
        assert (high[:2] < 245.1).all()
    counts = {"puck": 3, "puck-mirrored-90": 1}
    solids = {name: own_report(made, name)["solids"].values() for name in counts}
    assert copies == 4
    assert volume == pytest.approx(
        sum(count * sum(each["volume_mm3"] for each in solids[name]) for name, count in counts.items()),
        rel=1e-4,
    )


def test_the_contact_sheet_names_every_hold(made, tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's pdftotext is not here")
    text = subprocess.run(
        ["pdftotext", "-layout", str(made / "contact-sheet.pdf"), "-"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    for word in (
        "Wall",
        "puck \N{MULTIPLICATION SIGN} 3",
        "puck-mirrored-90",
        "gone",
        "failed",
        "To buy",
        "plate-01.3mf",
    ):
        assert word in text


def test_nothing_is_made_again_for_nothing(folder, made, capsys):
    before = {path: path.stat().st_mtime_ns for path in made.rglob("*") if path.is_file()}
    assert run(folder, made) == 3
    assert {path: path.stat().st_mtime_ns for path in made.rglob("*") if path.is_file()} == before
    told = capsys.readouterr().out
    assert "puck: unchanged" in told
    assert "Wall: 1 failed, 2 unchanged" in told


def test_a_file_that_was_changed_is_made_again(folder, made, capsys):
    core = made / "puck-mirrored-90" / "puck-mirrored-90-core.stl"
    whole = core.read_bytes()
    core.write_bytes(whole[:-50])
    assert run(folder, made) == 3
    assert len(core.read_bytes()) == len(whole)
    assert "Wall: 1 failed, 1 finished, 1 unchanged" in capsys.readouterr().out


@pytest.mark.skipif(sys.platform != "linux", reason="kills a whole group of processes")
def test_a_killed_run_is_resumed(folder):
    out = folder / "killed"
    words = [
        sys.executable,
        "-P",
        "-m",
        "holdwright",
        "set",
        str(folder / "wall.json"),
        "--out",
        str(out),
        "--jobs",
        "1",
    ]
    process = subprocess.Popen(
        words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    )
    first = out / "puck" / "puck.report.json"
    other = out / "puck-mirrored-90" / "puck-mirrored-90.report.json"
    end = time.monotonic() + 120.0
    while not (first.exists() or other.exists()) and time.monotonic() < end:
        time.sleep(0.05)
    process.send_signal(signal.SIGKILL)
    process.wait()
    assert run(folder, out) == 3
    statuses = {hold["name"]: hold["status"] for hold in report(out)["holds"]}
    assert sorted(statuses.values()) == ["failed", "finished", "unchanged"]


def test_pictures_and_meshes_of_a_plate_are_a_sound_package(made):
    with zipfile.ZipFile(made / "plate-01.3mf") as package:
        assert package.testzip() is None
        model = package.read("3D/3dmodel.model").decode()
    transforms = [part.split('"')[0] for part in model.split('transform="')[1:]]
    assert transforms
    for text in transforms:
        matrix = np.array(list(map(float, text.split()))).reshape(4, 3)
        assert np.linalg.det(matrix[:3]) == pytest.approx(1.0, abs=1e-6)


def test_a_set_hangs_on_its_wall(made, tmp_path, capsys):
    (tmp_path / "wall.json").write_text('{"panels": {"width": 1220, "height": 1220}, "t_nuts": {}}', "utf-8")
    words = [str(made), "--out", str(tmp_path / "plan")]
    assert main(["wall", str(tmp_path / "wall.json"), *words, "--spread", "2"]) == 0
    plan = json.loads((tmp_path / "plan" / "wall.report.json").read_text("utf-8"))
    assert [hold["hold"] for hold in plan["holds"]] == ["puck", "puck", "puck", "puck-mirrored-90"]
    assert plan["left"] == []
    (hold, count) = hanging_holds(made)["puck"]
    # True to size in its own frame, whichever way its files have it: the circle asked for is 120 mm.
    assert np.ptp(hold.outline, axis=0) == pytest.approx([120.0, 120.0], abs=0.5)
    assert (count, len(hold.bores), len(hold.screws)) == (3, 1, 0)
    drawing = (tmp_path / "plan" / "wall-plan.svg").read_text("utf-8")
    assert 'width="150.00mm"' in drawing  # a tenth of 1220, and room for the dimensions
    # The wall's file that was written hangs every hold at the same place when it is read.
    capsys.readouterr()
    assert main(["wall", str(tmp_path / "plan" / "wall.json"), *words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["holds"] == plan["holds"]


def test_the_sample_set_names_files_that_are_there():
    content = json.loads((sample_folder() / "hall-wall.set.json").read_text("utf-8"))
    assert all((sample_folder() / hold["sculpt"]).is_file() for hold in content["holds"])
