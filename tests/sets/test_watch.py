import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import trimesh

import shapes
from holdwright.cli.main import main
from holdwright.cli.watch_command import _planned
from holdwright.pipeline.recipes.recipe_file import save_recipe
from holdwright.sets.watched_folder import coming_sculpts
from recipes import new_recipe


def stl(radius: float) -> bytes:
    solid = shapes.boulder(radius, segments=16)
    return trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(file_type="stl")


@pytest.fixture
def noticed(tmp_path: Path) -> Iterator[list[tuple[float, Path]]]:
    """Watch the folder in a thread; give what it notices, and when."""
    found: list[tuple[float, Path]] = []
    ended = threading.Event()

    def listen() -> None:
        found.extend((time.monotonic(), path) for path in coming_sculpts(tmp_path, ended.is_set))

    thread = threading.Thread(target=listen)
    thread.start()
    time.sleep(0.5)
    yield found
    ended.set()
    thread.join()


def wait_for(condition, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_file_written_in_pieces_is_noticed_once_when_it_is_whole(tmp_path, noticed):
    content, path = stl(30.0), tmp_path / "jug.stl"
    with path.open("wb") as stream:
        for start in range(0, len(content), len(content) // 5 + 1):
            stream.write(content[start : start + len(content) // 5 + 1])
            stream.flush()
            time.sleep(0.15)
    written = time.monotonic()
    wait_for(lambda: noticed)
    assert noticed[0][0] >= written
    time.sleep(0.6)
    assert [found for _, found in noticed] == [path]


def test_a_file_put_in_its_place_is_noticed_and_others_are_not(tmp_path, noticed):
    (tmp_path / "notes.txt").write_text("not a sculpt")
    (tmp_path / ".hidden.stl").write_bytes(b"")
    part = tmp_path / "jug.stl.part"
    part.write_bytes(stl(30.0))
    part.replace(tmp_path / "jug.stl")
    wait_for(lambda: noticed)
    assert [found for _, found in noticed] == [tmp_path / "jug.stl"]


def test_sculpts_of_one_name_are_told_apart(tmp_path):
    for name in ("jug.stl", "Jug.obj", "crimp.stl"):
        (tmp_path / name).write_bytes(b"x")
    named = {path.name: _planned(path, "starter").name for path in sorted(tmp_path.iterdir())}
    assert named == {"jug.stl": "jug-stl", "Jug.obj": "Jug-obj", "crimp.stl": "crimp"}


@pytest.mark.skipif(sys.platform == "win32", reason="sends the signal of Ctrl+C")
def test_the_command_finishes_what_is_there_and_what_comes(tmp_path):
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    (folder / "first.stl").write_bytes(stl(30.0))
    recipe = new_recipe()
    save_recipe(recipe.with_parameters(recipe.steps[0].id, {"unit": "mm"}), tmp_path / "bare.json")
    words = ["watch", str(tmp_path / "bare.json"), str(folder), "--out", str(out), "--format", "stl"]
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "holdwright", *words], stdout=subprocess.PIPE, text=True
    )
    try:
        wait_for(lambda: (out / "first" / "first.report.json").exists())
        (folder / "second.stl").write_bytes(stl(40.0))
        (folder / "broken.stl").write_bytes(b"solid nothing")
        wait_for(lambda: (out / "second" / "second.report.json").exists())
        time.sleep(1.0)
        (folder / "first.stl").write_bytes(stl(35.0))
        report = out / "first" / "first.report.json"
        wait_for(lambda: json.loads(report.read_text("utf-8"))["whole"]["volume_mm3"] > 130e3)
    finally:
        process.send_signal(signal.SIGINT)
        told = process.communicate(timeout=30)[0]
    assert process.returncode == 0
    assert "first: finished in" in told
    assert "broken: failed." in told


def test_no_folder_is_a_sentence(tmp_path, capsys):
    assert main(["watch", "starter", str(tmp_path / "none"), "--out", str(tmp_path / "out")]) == 3
    assert "There is no folder" in capsys.readouterr().err
