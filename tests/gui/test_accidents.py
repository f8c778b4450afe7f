"""What goes wrong for a maker: wrong files, changed files, lost processes, two windows, a power cut.

Each time there is a sentence in the window, work goes on, and nothing is lost.
"""

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh
from PySide6.QtCore import Qt

from holdwright.gui.document import questions
from holdwright.gui.document.geometry_supervisor import LOST, LOST_TASK
from holdwright.gui.document.solid_cache import BUDGET
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.pipeline.geometry_process.child import Child
from holdwright.pipeline.geometry_process.messages import Sent
from holdwright.pipeline.recipes.recipe_file import find_recipe
from holdwright.resources import sample_folder
from mesh_files import write_obj
from shapes import boulder
from whole_window import (
    LEFT,
    WAIT,
    answering,
    choose_step,
    drop,
    open_window,
    opened_on,
    settled,
    typed,
    window,
)

__all__ = ["open_window", "window"]

ROOT = Path(__file__).resolve().parents[2]
CRIMP = sample_folder() / "hall-crimp.obj"


@pytest.fixture
def lump(tmp_path) -> Path:
    """A small sculpt of the tester's own, quick to finish."""
    return write_obj(tmp_path / "lump.obj", boulder(segments=24))


@pytest.fixture
def recipe_file(tmp_path, lump) -> Path:
    """A saved recipe on it that ends with the trim."""
    content = json.loads(find_recipe("starter").read_text("utf-8"))
    content["source"] = {"path": lump.name}
    content["steps"] = [step for step in content["steps"] if step["id"] in ("s1", "s2", "s3", "s4")]
    path = tmp_path / "lump.json"
    path.write_text(json.dumps(content), "utf-8")
    return path


def words(window) -> str:
    return window.notice.words or window.welcome_notice.words


def rim(window) -> float:
    return window.document.recipe.step("s4").parameters.rim


def set_rim(qtbot, window, figure: str) -> None:
    choose_step(qtbot, window, "s4")
    typed(qtbot, window, "s4", "rim", figure)
    assert rim(window) == float(figure)


def all_current(window) -> bool:
    document = window.document
    return all(
        document.is_current(step.id) and not document.step(step.id).failed for step in document.recipe.steps
    )


# Wrong files


def test_what_cannot_be_opened_is_told_and_the_next_drop_works(qtbot, window, tmp_path, lump, recipe_file):
    (tmp_path / "folder").mkdir()
    picture = tmp_path / "picture.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(64))
    newer = tmp_path / "newer.json"
    newer.write_text(json.dumps({**json.loads(recipe_file.read_text("utf-8")), "format": 99}), "utf-8")
    for path, told in ((tmp_path / "folder", "is a folder"), (picture, "is not a sculpt"), (newer, "99")):
        drop(window, path)
        qtbot.waitUntil(lambda told=told: told in words(window))
        assert window.document.session is None
        assert window.welcome_notice.again.isHidden()
    broken = tmp_path / "broken.obj"
    broken.write_text("v 0 0 0\nv 1 0\nf 1 2 9\n", "utf-8")
    opened_on(qtbot, window, broken)
    assert "broken.obj" in words(window)
    other = Path(shutil.copy(lump, tmp_path / "other.obj"))
    with answering("other.obj") as asked:
        opened_on(qtbot, window, lump, other)
    assert asked == ["Open which file?"]
    assert window.document.sculpt_path == other
    assert words(window) == ""
    assert all_current(window)
    drop(window, picture)
    qtbot.waitUntil(lambda: "is not a sculpt" in words(window))
    assert window.notice.again.isHidden()
    assert window.document.sculpt_path == other
    drop(window, broken)
    qtbot.waitUntil(lambda: "What was open is open again" in words(window), timeout=WAIT)
    settled(qtbot, window)
    assert "broken.obj" in words(window)
    assert window.document.sculpt_path == other
    assert all_current(window)
    window.document.recipe_changed.emit()
    assert words(window) == "", "it goes with the next change"


def test_a_sculpt_dropped_on_a_recipe_is_asked_about(qtbot, window, lump, recipe_file, tmp_path):
    opened_on(qtbot, window, recipe_file)
    revised = write_obj(tmp_path / "revised.obj", boulder(segments=24, seed=5))
    set_rim(qtbot, window, "5")
    with answering("Cancel") as asked:
        drop(window, revised)
        qtbot.waitUntil(lambda: bool(asked))
    assert asked == ["Replay this recipe on revised.obj?"]
    assert window.document.sculpt_path == lump
    settled(qtbot, window)
    with answering("Replace the sculpt"):
        opened_on(qtbot, window, revised)
    assert (window.document.sculpt_path, rim(window)) == (revised, 5.0)
    assert all_current(window)
    window.document.edits.undo()
    assert (window.document.sculpt_path, rim(window)) == (lump, 5.0)
    settled(qtbot, window)
    with answering("New recipe", "Discard changes") as asked:
        opened_on(qtbot, window, revised)
    assert asked[1] == "Save the changes to lump?"
    assert (window.document.sculpt_path, rim(window)) == (revised, 3.0)
    assert _saved_rim(recipe_file) == 3.0


# Files that change


def test_a_sculpt_changed_between_sessions_is_noticed_on_opening(qtbot, open_window, lump, recipe_file):
    first = open_window()
    opened_on(qtbot, first, recipe_file)
    set_rim(qtbot, first, "4")
    settled(qtbot, first)
    assert first.opening.save()
    assert first.close()
    kept = lump.rename(lump.with_name("first.obj"))
    write_obj(lump, boulder(segments=28, seed=3))

    again = open_window()
    with answering("Use it") as asked:
        opened_on(qtbot, again, recipe_file)
        qtbot.waitUntil(lambda: bool(asked))
    assert asked == ["lump.obj has changed since this recipe was saved. Use the changed sculpt?"]
    settled(qtbot, again)
    assert all_current(again)
    assert again.document.dirty, "it stands on another sculpt than its file says"
    assert again.opening.save()
    with answering() as asked:
        opened_on(qtbot, again, recipe_file)
    assert asked == []

    shutil.copy(kept, lump)
    with pytest.MonkeyPatch.context() as patch, answering("Find the original...") as asked:
        patch.setattr(questions, "which_sculpt", lambda _parent, _folder: kept)
        opened_on(qtbot, again, recipe_file)
        qtbot.waitUntil(lambda: again.document.sculpt_path == kept)
    settled(qtbot, again)
    assert all_current(again)
    assert again.document.undo_text == "sculpt first.obj"
    again.document.edits.undo()
    settled(qtbot, again)
    assert again.opening.save()


def test_two_windows_on_one_recipe_do_not_overwrite_each_other_unasked(qtbot, open_window, recipe_file):
    first, second = open_window(), open_window()
    for each, figure in ((first, "4"), (second, "6")):
        each.activateWindow()
        opened_on(qtbot, each, recipe_file)
        set_rim(qtbot, each, figure)
    assert first.opening.save()
    with answering("Cancel") as asked:
        assert not second.opening.save()
    assert asked == ["lump.json was changed by another program since you opened it. Overwrite it?"]
    assert _saved_rim(recipe_file) == 4.0
    assert second.document.dirty
    with answering("Overwrite"):
        assert second.opening.save()
    assert _saved_rim(recipe_file) == 6.0


def _saved_rim(path: Path) -> float:
    steps = json.loads(path.read_text("utf-8"))["steps"]
    return next(step for step in steps if step["id"] == "s4")["parameters"].get("rim", 3.0)


# Lost processes


def test_geometry_lost_is_told_while_busy_and_not_noticed_while_idle(qtbot, window, recipe_file, monkeypatch):
    runner = window.document.supervisor
    with qtbot.waitSignal(window.document.reported, timeout=WAIT):
        drop(window, recipe_file)
    os.kill(runner.pid, signal.SIGKILL)
    qtbot.waitUntil(lambda: words(window) == LOST, timeout=WAIT)
    qtbot.waitUntil(window.notice.again.isVisible)
    with qtbot.waitSignal(window.document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        qtbot.mouseClick(window.notice.again, LEFT)
    assert words(window) == ""
    assert all_current(window)

    lost = runner.pid
    os.kill(lost, signal.SIGKILL)
    qtbot.waitUntil(lambda: runner.pid == 0)
    set_rim(qtbot, window, "4")
    settled(qtbot, window)
    assert words(window) == ""
    assert all_current(window)
    assert runner.pid not in (0, lost)

    answer = Child.answer

    def unreadable(child, timeout=None):
        given = answer(child, timeout)
        if isinstance(given, Sent):
            raise AttributeError("no such class")  # noqa: TRY004  as unpickling does
        return given

    with monkeypatch.context() as spoilt:
        spoilt.setattr(Child, "answer", unreadable)
        set_rim(qtbot, window, "5")
        qtbot.waitUntil(lambda: words(window) == LOST, timeout=WAIT)
    os.kill(runner.pid, signal.SIGKILL)  # it was started with the spoilt reader
    qtbot.waitUntil(lambda: runner.pid == 0)
    with qtbot.waitSignal(window.document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        qtbot.mouseClick(window.notice.again, LEFT)
    assert all_current(window)


def test_files_that_cannot_be_written_are_told_and_none_is_half_written(qtbot, window, lump, tmp_path):
    opened_on(qtbot, window, lump)
    in_the_way, folder = tmp_path / "in-the-way", tmp_path / "not" / "there" / "yet"
    in_the_way.write_text("a file", "utf-8")
    qtbot.mouseClick(window.top_bar.export_button, LEFT)
    panel = window.export_page
    foot = panel.export_foot
    for chosen in (in_the_way, in_the_way / "deeper"):
        panel.folder_line.setText(str(chosen))
        qtbot.mouseClick(foot.buttons["write"], LEFT)
        qtbot.waitUntil(lambda: bool(foot.failure.text()), timeout=WAIT)
        assert "in-the-way" in foot.failure.text()
    assert in_the_way.read_text("utf-8") == "a file"

    panel.folder_line.setText(str(folder))
    runner = window.document.supervisor
    alive = [runner.pid]
    runner.reported.connect(
        lambda number, *_far: number == panel._number and alive and os.kill(alive.pop(), signal.SIGKILL)
    )
    qtbot.mouseClick(foot.buttons["write"], LEFT)
    qtbot.waitUntil(lambda: foot.failure.text() == LOST_TASK, timeout=WAIT)
    assert _names(folder) == []
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(foot.buttons["write"], LEFT)
    assert _names(folder) == ["lump-core.stl", "lump-shell.stl", "lump.3mf", "lump.report.json"]
    assert trimesh.load_mesh(folder / "lump-shell.stl").is_volume


def test_walls_process_lost_is_told_and_tried_again(qtbot, window, recipe_file):
    opened_on(qtbot, window, recipe_file)
    choose_step(qtbot, window, "s4")
    heat = window.findChild(ThicknessMap)
    qtbot.mouseClick(window.top_bar.heat_button, LEFT)
    qtbot.waitUntil(lambda: heat.supervisor.pid != 0)
    with qtbot.waitSignal(heat.failed, timeout=WAIT) as met:
        os.kill(heat.supervisor.pid, signal.SIGKILL)
    assert window.view_bar._thinnest.text() == met.args[0]
    qtbot.mouseClick(window.top_bar.heat_button, LEFT)
    with qtbot.waitSignal(heat.thinnest_found, timeout=WAIT):
        qtbot.mouseClick(window.top_bar.heat_button, LEFT)
    assert window.view_bar._thinnest.text().startswith("Thinnest ")
    assert window.viewport.scene.heat is not None
    assert all_current(window)


def _names(folder: Path) -> list[str]:
    """Give the files in a folder that a maker sees."""
    there = folder.iterdir() if folder.is_dir() else ()
    return sorted(path.name for path in there if not path.name.startswith("."))


# Stopping and closing


def test_cancelled_and_closed_while_busy(qtbot, window):
    drop(window, CRIMP)
    with qtbot.waitSignal(window.document.step_shown, timeout=WAIT):
        pass
    qtbot.mouseClick(window.top_bar.cancel_button, LEFT)
    qtbot.waitUntil(lambda: not window.document.busy)
    document = window.document
    assert document.is_current("s1")
    assert not document.is_current("s7")
    assert window.top_bar.doing.whole == "Stopped"
    assert window.stopped_banner.words == "Stopped before the recipe was done."
    assert words(window) == ""
    qtbot.mouseClick(window.top_bar.cancel_button, LEFT)
    assert document.busy
    pid = document.supervisor.pid
    assert window.close(), "nothing was changed by hand: nothing is asked"
    assert not window.isVisible()
    qtbot.waitUntil(lambda: not _alive(pid))


def test_closing_asks_about_unsaved_changes_and_about_files_being_written(
    qtbot, window, lump, tmp_path, monkeypatch
):
    opened_on(qtbot, window, lump)
    set_rim(qtbot, window, "4")
    with answering("Cancel") as asked:
        assert not window.close()
    assert asked == ["Save the changes to lump?"]
    assert window.isVisible()
    qtbot.mouseClick(window.top_bar.export_button, LEFT)
    panel = window.export_page
    panel.folder_line.setText(str(tmp_path / "parts"))
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    assert panel.state == "writing"
    monkeypatch.setattr(questions, "where_to_save", lambda *_about: tmp_path / "kept.json")
    with answering("Close", "Save") as asked:
        assert window.close()
    assert asked[0] == "Files are still being written. Close anyway?"
    assert _saved_rim(tmp_path / "kept.json") == 4.0
    assert not list((tmp_path / "parts").glob("lump*"))


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


# A power cut

KILLED = """
import sys
from pathlib import Path
from PySide6.QtCore import QSettings, QTimer
from holdwright.gui.widgets import style
from holdwright.gui.application import application, build_window

def main():
    app = application(["killed"])
    style.apply(app, "light")
    folder, sculpt = Path(sys.argv[1]), Path(sys.argv[2])
    window = build_window(QSettings(str(folder / "s.ini"), QSettings.Format.IniFormat), folder, "light")
    window.show()
    window.opening.open_path(sculpt)
    window.document.edits.edit("s4", {"rim": 4.0})
    window.document.edits.edit("s4", {"rim": 7.0})
    kept = folder / "autosave" / "1"

    def look():
        if list(kept.glob("*.json")):
            print("kept", flush=True)

    timer = QTimer()
    timer.timeout.connect(look)
    timer.start(50)
    app.exec()

if __name__ == "__main__":
    main()
"""


def test_changes_of_a_killed_window_are_offered_with_their_history(
    qtbot, open_window, data_folder, lump, tmp_path
):
    script = tmp_path / "killed.py"
    script.write_text(KILLED, "utf-8")
    path = os.pathsep.join([str(ROOT / "app"), os.environ.get("PYTHONPATH", "")])
    killed = subprocess.Popen(
        [sys.executable, str(script), str(data_folder), str(lump)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
    )
    try:
        assert killed.stdout is not None
        assert killed.stdout.readline() == b"kept\n"
    finally:
        killed.kill()
        killed.wait()
        killed.stdout.close()
    later, now = open_window(), open_window()
    with answering("Decide later") as asked:
        later.begin(None)
    assert asked == ["Recover unsaved changes to the recipe on lump.obj, which has no file yet?"]
    assert later.document.session is None
    with answering("Recover"):
        now.begin(None)
    document = now.document
    assert (rim(now), document.dirty) == (7.0, True)
    assert document.undo_text.endswith("rim 4 -> 7 mm")
    document.edits.undo()
    document.edits.undo()
    assert rim(now) == 3.0
    settled(qtbot, now)
    assert all_current(now)
    with answering() as asked:
        later.begin(None)
    assert asked == [], "it is open in the other window"


# A busy hand


def test_two_hundred_quick_edits_and_undos_stay_within_their_budgets(qtbot, window, recipe_file):
    opened_on(qtbot, window, recipe_file)
    document = window.document
    for number in range(100):
        document.edits.edit("s4", {"rim": 3.0 + (number % 7) * 0.5 + 0.5})
        if number % 5 == 4:
            qtbot.wait(1)
    for _ in range(50):
        qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    for _ in range(50):
        document.edits.redo()
    settled(qtbot, window)
    assert all_current(window)
    assert document._kept.nbytes <= BUDGET
    assert len(document._jobs) <= 1
    assert document.step("s4").result.startswith("rim ")
