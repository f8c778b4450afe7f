"""The supervisor: the latest replay first, all other tasks behind it, never dropped, stopped one by one."""

import time
from pathlib import Path

import pytest

from holdwright.export.job import ExportRequest, write_files
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.geometry_process import child
from holdwright.pipeline.recipes.recipe import Source
from holdwright.pipeline.views.display_results import StepsRequest, show_steps
from mesh_files import write_obj
from recipes import new_recipe
from shapes import block

WAIT = 60_000


@pytest.fixture
def recipe(tmp_path):
    return new_recipe(Source(str(write_obj(tmp_path / "box.obj", block())))).inserted(ScaleToEnvelope())


@pytest.fixture
def supervisor(qapp, data_folder):
    made = GeometrySupervisor(data_folder)
    yield made
    made.close()


def replay(supervisor, recipe, diameter: float) -> int:
    changed = recipe.with_parameters("s2", {"diameter": diameter})
    return supervisor.send(show_steps, StepsRequest(), changed, latest_only=True)


def files(folder) -> ExportRequest:
    return ExportRequest("box", "plain", folder, ("stl",), ("whole",))


def test_tasks_wait_behind_the_latest_job_and_are_all_done(qtbot, supervisor, recipe, tmp_path):
    ends = []
    supervisor.ended.connect(lambda number, _gave, failed, stopped: ends.append((number, failed, stopped)))
    first = replay(supervisor, recipe, 100.0)
    one = supervisor.send(write_files, files(tmp_path / "one"), recipe)
    two = supervisor.send(write_files, files(tmp_path / "two"), recipe)
    replay(supervisor, recipe, 101.0)
    last = replay(supervisor, recipe, 102.0)
    with qtbot.waitSignal(supervisor.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        pass
    assert ends == [(number, "", False) for number in (first, last, one, two)]
    assert (tmp_path / "one" / "box-whole.stl").is_file()
    assert (tmp_path / "two" / "box-whole.stl").is_file()


def test_one_task_is_stopped_and_all_else_goes_on(qtbot, supervisor, recipe, tmp_path):
    ends = {}
    supervisor.ended.connect(
        lambda number, what, failed, stopped: ends.update({number: (what, failed, stopped)})
    )
    replay(supervisor, recipe, 100.0)
    last = replay(supervisor, recipe, 101.0)
    one = supervisor.send(write_files, files(tmp_path / "one"), recipe)
    two = supervisor.send(write_files, files(tmp_path / "two"), recipe)
    supervisor.stop(one)
    assert ends == {one: (None, "", True)}
    with qtbot.waitSignal(
        supervisor.ended,
        timeout=WAIT,
        check_params_cb=lambda number, _gave, _failed, stopped: number == last and not stopped,
    ):
        pass
    qtbot.waitUntil(lambda: two in ends, timeout=WAIT)
    assert ends[two][1:] == ("", False)
    assert not (tmp_path / "one").exists()


def test_without_a_sculpt_there_is_nothing_to_send(supervisor, tmp_path):
    assert supervisor.send(write_files, files(tmp_path), new_recipe()) == 0
    assert not supervisor.busy


def wait_for_the_end(context, mark: Path) -> None:
    """Work until it is given up, and tidy up then, as a writer does."""
    mark.touch()
    try:
        while True:
            context.progress.report(0.5, "at it")
            time.sleep(0.01)
    finally:
        time.sleep(0.3)
        mark.unlink()


def test_a_closing_window_lets_the_process_tidy_up(qtbot, supervisor, recipe, tmp_path, monkeypatch):
    monkeypatch.setattr(child, "PATIENCE", 60.0)
    mark = tmp_path / "half-written"
    supervisor.send(wait_for_the_end, mark, recipe)
    qtbot.waitUntil(mark.exists, timeout=WAIT)
    process = supervisor._child._process
    supervisor.close()
    assert not mark.exists()
    assert process.exitcode == 0


def test_a_closing_window_lets_a_replay_end_itself(qtbot, supervisor, recipe, monkeypatch):
    monkeypatch.setattr(child, "PATIENCE", 60.0)
    replay(supervisor, recipe, 100.0)
    with qtbot.waitSignal(supervisor.reported, timeout=WAIT):
        pass
    process = supervisor._child._process
    supervisor.close()
    assert process.exitcode == 0
