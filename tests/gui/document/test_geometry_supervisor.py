"""The runner with errands: behind the job that waits, never dropped, stopped one by one."""

import time
from pathlib import Path

import pytest

from holdwright.export.export_task import FilesAsked, write_files
from holdwright.gui.document.geometry_supervisor import Runner
from holdwright.gui.document.tasks import Errands
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.messages import Job
from holdwright.pipeline.recipe import Source, new_recipe
from holdwright.pipeline.recipe_file import recipe_text
from mesh_files import write_obj
from shapes import block

WAIT = 60_000


@pytest.fixture
def recipe(tmp_path):
    return new_recipe(Source(str(write_obj(tmp_path / "box.obj", block())))).inserted(ScaleToEnvelope())


@pytest.fixture
def runner(qapp, data_folder):
    made = Runner(data_folder)
    yield made
    made.close()


def job(recipe, diameter: float) -> Job:
    text = recipe_text(recipe.with_parameters("s2", {"diameter": diameter}))
    return Job(0, text, recipe.source.path)


def files(folder) -> FilesAsked:
    return FilesAsked("box", "plain", folder, ("stl",), ("whole",))


def test_errands_wait_behind_the_latest_job_and_are_all_done(qtbot, runner, recipe, tmp_path):
    errands = Errands(runner)
    ends = []
    runner.ended.connect(lambda number, failed, stopped: ends.append((number, failed, stopped)))
    first = runner.ask(job(recipe, 100.0))
    one = errands.send(write_files, files(tmp_path / "one"), recipe)
    two = errands.send(write_files, files(tmp_path / "two"), recipe)
    runner.ask(job(recipe, 101.0))
    last = runner.ask(job(recipe, 102.0))
    with qtbot.waitSignal(runner.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        pass
    assert ends == [(number, "", False) for number in (first, last, one, two)]
    assert (tmp_path / "one" / "box-whole.stl").is_file()
    assert (tmp_path / "two" / "box-whole.stl").is_file()


def test_one_errand_is_stopped_and_all_else_goes_on(qtbot, runner, recipe, tmp_path):
    errands = Errands(runner)
    ends = {}
    errands.ended.connect(
        lambda number, what, failed, stopped: ends.update({number: (what, failed, stopped)})
    )
    runner.ask(job(recipe, 100.0))
    last = runner.ask(job(recipe, 101.0))
    one = errands.send(write_files, files(tmp_path / "one"), recipe)
    two = errands.send(write_files, files(tmp_path / "two"), recipe)
    errands.stop(one)
    assert ends == {one: (None, "", True)}
    with qtbot.waitSignal(
        runner.ended,
        timeout=WAIT,
        check_params_cb=lambda number, _failed, stopped: number == last and not stopped,
    ):
        pass
    qtbot.waitUntil(lambda: two in ends, timeout=WAIT)
    assert ends[two][1:] == ("", False)
    assert not (tmp_path / "one").exists()


def test_without_a_sculpt_there_is_nothing_to_send(runner, tmp_path):
    assert Errands(runner).send(write_files, files(tmp_path), new_recipe()) == 0
    assert not runner.busy


def wait_for_the_end(bench, mark: Path) -> None:
    """Work until it is given up, and tidy up then, as a writer does."""
    mark.touch()
    try:
        while True:
            bench.progress.report(0.5, "at it")
            time.sleep(0.01)
    finally:
        time.sleep(0.3)
        mark.unlink()


def test_a_closing_window_lets_the_process_tidy_up(qtbot, runner, recipe, tmp_path):
    mark = tmp_path / "half-written"
    Errands(runner).send(wait_for_the_end, mark, recipe)
    qtbot.waitUntil(mark.exists, timeout=WAIT)
    process = runner._child._process
    runner.close()
    assert not mark.exists()
    assert process.exitcode == 0


def test_a_closing_window_lets_a_job_end_itself(qtbot, runner, recipe):
    runner.ask(job(recipe, 100.0))
    with qtbot.waitSignal(runner.reported, timeout=WAIT):
        pass
    process = runner._child._process
    runner.close()
    assert process.exitcode == 0
