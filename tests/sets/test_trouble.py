"""A full disk, two writers in one folder, a thousand holds; works are done here, where tests reach them."""

import errno
import json
import threading
import tracemalloc
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import trimesh

import shapes
from holdwright.errors import Cancelled, ExportError
from holdwright.export.export_key import made_before
from holdwright.pipeline.recipes.recipe_file import save_recipe
from holdwright.pipeline.recipes.set_file import HoldSet, load_set
from holdwright.progress import SILENT, Progress
from holdwright.sets import run_set as running
from holdwright.sets.benches import Bench, Benches
from holdwright.sets.finish_set import finish_set
from holdwright.sets.run_set import MadeHold, SetOptions, needed
from holdwright.sets.set_totals import totals_of
from holdwright.sets.shopping_list import shopping_list
from recipes import new_recipe

OPTIONS = SetOptions(("stl",), jobs=2)


@pytest.fixture(autouse=True)
def _here(monkeypatch) -> None:
    """Have works done in this process."""
    monkeypatch.setattr(Bench, "do", lambda _self, work, progress=SILENT, _seconds=0.0: work.do(progress))


@pytest.fixture
def of(tmp_path: Path) -> HoldSet:
    """Two balls that are only read in and written."""
    for number in range(2):
        solid = shapes.boulder(30.0 + number, segments=16)
        trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(
            tmp_path / f"ball-{number}.stl"
        )
    recipe = new_recipe()
    save_recipe(recipe.with_parameters(recipe.steps[0].id, {"unit": "mm"}), tmp_path / "bare.json")
    holds = [{"sculpt": f"ball-{number}.stl", "recipe": "bare.json"} for number in range(2)]
    (tmp_path / "balls.json").write_text(json.dumps({"format": 1, "holds": holds}), "utf-8")
    return load_set(tmp_path / "balls.json")


def files(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("*") if path.is_file()}


def test_a_full_disk_is_told_of_each_hold_and_leaves_nothing_half_written(of, tmp_path, monkeypatch):
    out, made = tmp_path / "out", []

    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        with pytest.raises(ExportError, match=r"The set cannot be written to .*: No space left on device;"):
            finish_set(of, out, OPTIONS, made_one=made.append)
    assert [each.status for each in made] == ["failed", "failed"]
    assert all("as the disk is full; make room" in each.message for each in made)
    assert files(out) == set()
    # With room again it is finished, and once full anew what is there stays as it is.
    assert finish_set(of, out, OPTIONS)["statuses"] == {"finished": 2}
    before = files(out)
    assert {"ball-0-whole.stl", "ball-1.report.json", "set.report.json", "shopping-list.csv"} <= before
    (tmp_path / "ball-1.stl").write_bytes((tmp_path / "ball-0.stl").read_bytes())
    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        with pytest.raises(ExportError):
            finish_set(of, out, OPTIONS, made_one=made.append)
    assert sorted(each.status for each in made[2:]) == ["failed", "unchanged"]
    assert files(out) == before


def test_two_writers_in_one_folder_leave_whole_files(of, tmp_path):
    out, told = tmp_path / "out", []
    writers = [threading.Thread(target=lambda: told.append(finish_set(of, out, OPTIONS))) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120.0)
    assert len(told) == 2
    assert all(set(each["statuses"]) <= {"finished", "unchanged"} for each in told)
    report = json.loads((out / "set.report.json").read_bytes())
    for hold in report["holds"]:
        assert made_before(out / hold["name"], hold["name"], hold["key"]) is not None
    assert finish_set(of, out, OPTIONS)["statuses"] == {"unchanged": 2}
    assert not list(out.rglob(".*")), "no stage is left behind"


class _StandIn:
    """A hold that is made at once."""

    def do(self, _progress: Progress) -> float:
        return 0.0


def test_a_set_of_a_thousand_takes_little_memory_and_can_be_stopped(of, tmp_path, monkeypatch):
    finish_set(of, tmp_path / "out", OPTIONS)
    report = json.loads((tmp_path / "out" / "ball-0" / "ball-0.report.json").read_bytes())
    finding = {
        "code": "x",
        "severity": "warning",
        "message": "A wall is thin. " * 12,
        "advice": "Thicken it.",
    }
    # As long as that of a hold of which much is to be said; little of it is kept.
    report |= {"findings": [finding] * 20, "pieces": ["piece " * 20] * 100}
    report["print"] = {**report["print"], "checks": ["check " * 20] * 100}
    text = json.dumps(report)
    monkeypatch.setattr(running, "task_of", lambda *_about: _StandIn())
    monkeypatch.setattr(running, "unchanged", lambda *_about: None)

    def finished(hold: Any, _task: Any, seconds: float) -> MadeHold:
        return MadeHold(hold, "finished", seconds=seconds, report=needed(json.loads(text)))

    monkeypatch.setattr(running, "finished", finished)
    holds = tuple(replace(of.holds[0], name=f"ball-{number}") for number in range(1000))
    tracemalloc.start()
    with Benches(2) as benches:
        made = list(running.run_set(holds, tmp_path / "out", OPTIONS, benches))
    totals, buy = totals_of(made), shopping_list(made)
    kept, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len({each.hold.name for each in made}) == 1000
    assert (len(totals), buy[-1].kind) == (4, "filament")
    assert kept < 1000 * 30_000, f"{kept / 1000:.0f} bytes a hold"
    assert most < kept + 4 * len(text) + 5_000_000

    seen: list[MadeHold] = []
    with Benches(2, lambda: len(seen) >= 10) as benches:
        coming = running.run_set(holds, tmp_path / "out", OPTIONS, benches)
        with pytest.raises(Cancelled):
            list(_noted(coming, seen))
    assert 10 <= len(seen) < 1000


def _noted(coming, seen: list[MadeHold]):
    """Note each before the next is waited for."""
    for each in coming:
        seen.append(each)
        yield from ()
