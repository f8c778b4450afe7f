"""The open recipe's sculpt changes on disk: the window offers to replay it, or does so where that is asked.

Real files are written in real folders, and the system tells of them.
"""

import json
import threading
import time
from pathlib import Path

import pytest

from holdwright.gui.document.sculpt_watch import STILL_MS
from holdwright.pipeline.recipes.recipe_file import find_recipe
from mesh_files import write_obj
from shapes import boulder
from whole_window import LEFT, WAIT, open_window, opened_on, settled, typed, window

__all__ = ["open_window", "window"]

OFFER = "lump.obj changed on disk"
TRIM = "s4"


@pytest.fixture
def lump(tmp_path) -> Path:
    """A small sculpt in a folder of its own."""
    (tmp_path / "sculpts").mkdir()
    return write_obj(tmp_path / "sculpts" / "lump.obj", boulder(segments=24))


@pytest.fixture
def other(tmp_path) -> Path:
    """Another sculpt, elsewhere."""
    return write_obj(tmp_path / "other.obj", boulder(segments=24, seed=5))


@pytest.fixture
def recipe(tmp_path, lump) -> Path:
    """A recipe on it that ends with the trim."""
    content = json.loads(find_recipe("starter").read_text("utf-8"))
    content["source"] = {"path": f"sculpts/{lump.name}"}
    content["steps"] = [step for step in content["steps"] if step["id"] in ("s1", "s2", "s3", TRIM)]
    path = tmp_path / "recipe.json"
    path.write_text(json.dumps(content))
    return path


@pytest.fixture
def opened(qtbot, window, recipe):
    """A window on that recipe."""
    opened_on(qtbot, window, recipe)
    return window


def volume(window) -> float:
    (solid,) = window.document.step(TRIM).solids.values()
    return solid.volume_mm3


def offered(qtbot, window) -> None:
    qtbot.waitUntil(lambda: window.changed_strip.words == OFFER, timeout=WAIT)


def rest(qtbot) -> None:
    """Wait for as long as a change that is noticed would take."""
    qtbot.wait(2 * STILL_MS)


def replaced(qtbot, window) -> None:
    """Wait for a replay and what it changed."""
    qtbot.waitUntil(lambda: window.document.revision.comparison is not None, timeout=WAIT)
    settled(qtbot, window)
    assert all(window.document.is_current(step.id) for step in window.document.recipe.steps)


def test_a_changed_sculpt_is_offered_once_whole_and_compared_and_the_next_one_too(qtbot, opened, lump, other):
    window, before, content = opened, volume(opened), other.read_bytes()
    told = []
    window.sculpt_watch.changed.connect(lambda: told.append((window.sculpt_watch.offered, time.monotonic())))

    def write() -> None:
        with lump.open("wb") as stream:
            for start in range(0, len(content), len(content) // 5):
                stream.write(content[start : start + len(content) // 5])
                stream.flush()
                time.sleep(0.6 * STILL_MS / 1000)
        ended.append(time.monotonic())

    ended: list[float] = []
    thread = threading.Thread(target=write)
    thread.start()
    offered(qtbot, window)
    thread.join()
    assert [path for path, _ in told] == [lump]
    assert told[0][1] > ended[0] - STILL_MS / 1000, "not offered while it was being written"
    assert volume(window) == before, "nothing is replayed unasked"

    qtbot.mouseClick(window.changed_strip.again, LEFT)
    assert window.changed_strip.words == ""
    replaced(qtbot, window)
    assert volume(window) != before
    assert window.revision_strip.words.startswith("lump: ")
    assert window.document.dirty is False, "the recipe itself is as it was: it had named no bytes"

    lump.touch()
    (lump.parent / "neighbour.obj").write_bytes(content)
    rest(qtbot)
    assert window.changed_strip.words == "", "the same bytes are the same sculpt"
    write_obj(other, boulder(segments=24, seed=6)).replace(lump)
    offered(qtbot, window)
    qtbot.mouseClick(window.changed_strip.away, LEFT)
    assert window.changed_strip.words == ""
    rest(qtbot)
    assert window.changed_strip.words == "", "it was put away"
    write_obj(other, boulder(segments=24, seed=7)).replace(lump)
    offered(qtbot, window)
    lump.write_bytes(content)
    qtbot.waitUntil(lambda: window.changed_strip.words == "", timeout=WAIT)


def test_each_time_is_kept_but_asks_after_a_stop_and_survives_what_cannot_be_read(qtbot, opened, lump, other):
    window, before = opened, volume(opened)
    window.document._set_stopped(True)
    window.preferences.replay_changed = True
    write_obj(lump, boulder(segments=24, seed=6))
    offered(qtbot, window)
    assert volume(window) == before
    qtbot.mouseClick(window.changed_strip.each_time, LEFT)
    replaced(qtbot, window)
    second = volume(window)
    assert second != before
    assert window.preferences_page.replay_box.isChecked()

    window.document.revision.dismiss()
    lump.write_bytes(b"v 0 0 0\nf 1 2 3\n")
    qtbot.waitUntil(lambda: "Cannot read lump.obj" in window.notice.words, timeout=WAIT)
    settled(qtbot, window)
    assert volume(window) == second, "the hold that was made stays in view"
    assert not window.document.is_current(TRIM)
    assert window.revision_strip.words == ""
    other.replace(lump)
    replaced(qtbot, window)
    assert volume(window) not in (before, second)
    assert "Volume" in {line[0] for line in window.revision_strip.table}, "compared with the last one made"
    assert window.changed_strip.words == ""


def test_work_is_waited_for_and_a_sculpt_taken_away_is_missed_by_nobody(qtbot, opened, lump, other):
    window, supervisor, before = opened, opened.document.supervisor, volume(opened)
    supervisor._running = object()  # as while a long step goes on
    first = lump.rename(lump.with_name("first.obj"))
    other.replace(lump)
    rest(qtbot)
    assert window.changed_strip.words == ""
    supervisor._running = None
    window.document.busy_changed.emit(False)
    offered(qtbot, window)
    window.document.edits.select(TRIM)
    typed(qtbot, window, TRIM, "rim", "5")  # an edit reads the file as it is
    settled(qtbot, window)
    rest(qtbot)
    assert window.changed_strip.words == ""
    second = volume(window)
    assert second != before

    aside = lump.rename(lump.with_name("aside.obj"))
    rest(qtbot)
    assert "gone" not in window.notice.words
    typed(qtbot, window, TRIM, "rim", "4")
    settled(qtbot, window)
    assert volume(window) != second, "work goes on with the sculpt that was read"
    aside.rename(lump)
    rest(qtbot)
    assert window.changed_strip.words == ""
    lump.unlink()
    rest(qtbot)
    first.replace(lump)
    offered(qtbot, window)


def test_a_sculpt_that_was_missing_is_replayed_when_it_comes(qtbot, window, recipe, lump):
    aside = lump.rename(lump.with_name("aside.obj"))
    opened_on(qtbot, window, recipe)
    assert window.missing_sculpt.words == "lump.obj is not there"
    aside.replace(lump)
    qtbot.waitUntil(lambda: window.document.step(TRIM) is not None, timeout=WAIT)
    settled(qtbot, window)
    assert window.missing_sculpt.words == ""
    assert window.revision_strip.words == ""


def test_whatever_finds_the_sculpt_changed_goes_by_what_was_known_of_it(qtbot, opened, lump):
    document = opened.document
    former = document.sculpt.digest
    write_obj(lump, boulder(segments=24, seed=6))
    # An edit reads the file before anybody was asked.
    document.edits.edit(TRIM, {"rim": 5.0})
    settled(qtbot, opened)
    assert document.sculpt.digest != former
    source = document.recipe.source
    assert source.made_with.digest == former
    assert {step.id for step in source.earlier_steps} == {step.id for step in document.recipe.steps}
    second = document.sculpt.digest
    write_obj(lump, boulder(segments=24, seed=7))
    document.look_at_sculpt()
    assert document.recipe.source.made_with.digest == second
