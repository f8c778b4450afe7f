"""A set made by the workers of a real scheduler: Dask's own, started here with two worker processes."""

import json
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
from holdwright.pipeline.recipes.recipe_file import save_recipe
from recipes import new_recipe

distributed = pytest.importorskip("distributed")

RECIPE = {"unit": "mm"}
COUNT = 4


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a set of balls, each of another size."""
    path = tmp_path_factory.mktemp("cluster")
    for number in range(COUNT):
        solid = shapes.boulder(30.0 + number, segments=24)
        trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(path / f"ball-{number}.stl")
    recipe = new_recipe()
    save_recipe(recipe.with_parameters(recipe.steps[0].id, RECIPE), path / "bare.json")
    holds = [{"sculpt": f"ball-{number}.stl", "recipe": "bare.json"} for number in range(COUNT)]
    holds.append({"sculpt": "nowhere.stl", "recipe": "bare.json"})
    (path / "wall.json").write_text(json.dumps({"format": 1, "holds": holds}), "utf-8")
    return path


def begin(*words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-P", "-m", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Start a scheduler and two workers, of one thread each; give its address, and the workers."""
    told = tmp_path / "scheduler.json"
    usual = ["--host", "127.0.0.1"]
    scheduler = begin(
        "distributed.cli.dask_scheduler",
        *usual,
        "--port",
        "0",
        "--no-dashboard",
        "--scheduler-file",
        str(told),
    )
    end = time.monotonic() + 60.0
    while not told.exists() and time.monotonic() < end:
        time.sleep(0.1)
    address = json.loads(told.read_text("utf-8"))["address"]
    workers = [
        begin(
            "distributed.cli.dask_worker",
            address,
            *usual,
            "--nthreads",
            "1",
            "--no-nanny",
            "--no-dashboard",
            "--local-directory",
            str(tmp_path / f"worker-{number}"),
        )
        for number in range(2)
    ]
    try:
        with distributed.Client(address, timeout="60s", set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
        yield address, workers
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait()


def run(folder: Path, out: Path, *more: str) -> int:
    return main(["set", str(folder / "wall.json"), "--out", str(out), "--format", "stl", *more])


def volumes(folder: Path) -> dict[str, float]:
    reports = (json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*/*.report.json")))
    return {report["sculpt"]["name"]: report["whole"]["volume_mm3"] for report in reports}


def statuses(out: Path) -> dict[str, int]:
    return json.loads((out / "set.report.json").read_text("utf-8"))["statuses"]


def test_a_worker_killed_in_mid_batch_is_made_up_for(folder, cluster, tmp_path):
    address, workers = cluster
    out = tmp_path / "out"

    def kill_after_the_first() -> None:
        end = time.monotonic() + 120.0
        while not list(out.glob("*/*.report.json")) and time.monotonic() < end:
            time.sleep(0.02)
        workers[0].kill()

    killer = threading.Thread(target=kill_after_the_first)
    killer.start()
    assert run(folder, out, "--cluster", address) == 3  # of the sculpt that is nowhere
    killer.join()
    assert statuses(out) == {"finished": COUNT, "failed": 1}
    assert workers[0].poll() is not None
    assert run(folder, tmp_path / "here") == 3
    assert volumes(out) == volumes(tmp_path / "here")
    # What the cluster made is known again, here too.
    assert run(folder, out) == 3


def test_a_cluster_that_goes_away_leaves_the_rest_to_be_made_here(folder, cluster, tmp_path, monkeypatch):
    monkeypatch.setattr("holdwright.sets.cluster.PATIENCE", 1.0)
    address, _ = cluster
    out = tmp_path / "out"

    def kill_all() -> None:
        end = time.monotonic() + 120.0
        while not list(out.glob("*/*.report.json")) and time.monotonic() < end:
            time.sleep(0.02)
        with distributed.Client(address, set_as_default=False) as client:
            client.shutdown()

    killer = threading.Thread(target=kill_all)
    killer.start()
    assert run(folder, out, "--cluster", address) == 3
    killer.join()
    assert statuses(out) == {"finished": COUNT, "failed": 1}
    assert len(volumes(out)) == COUNT


def test_no_scheduler_is_said_in_a_sentence(folder, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("holdwright.sets.cluster.REACHED_IN", "1s")
    assert run(folder, tmp_path / "out", "--cluster", "127.0.0.1:9") == 2
    assert "No scheduler answers at 127.0.0.1:9" in capsys.readouterr().err
    assert not list((tmp_path / "out").iterdir())
