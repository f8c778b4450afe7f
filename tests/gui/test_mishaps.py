"""Mishaps at the start and on the way: each is told in a sentence, and the window is there all the same."""

import json
import os
import signal
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint

from holdwright.catalogue.catalogue import OWN_TABLES, load_catalogue
from holdwright.errors import RecipeError
from holdwright.gui.application import build_window
from holdwright.gui.document import questions
from holdwright.gui.document.step_texts import recipe_sentence
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from mesh_files import write_obj
from shapes import boulder
from whole_window import (
    LEFT,
    WAIT,
    answering,
    choose_step,
    click,
    drop,
    left_as_met,
    open_window,
    opened_on,
    settled,
    taken_up,
    window,
)

__all__ = ["open_window", "window"]


@pytest.fixture
def lump(tmp_path) -> Path:
    """A small sculpt."""
    return write_obj(tmp_path / "lump.obj", boulder(segments=24))


@pytest.fixture
def recipe_file(tmp_path) -> Path:
    """The starter recipe, on no sculpt."""
    path = tmp_path / "route.json"
    path.write_text(find_recipe("starter").read_text("utf-8"), "utf-8")
    return path


def on_sculpt(recipe_file: Path, name: str) -> Path:
    content = json.loads(recipe_file.read_text("utf-8"))
    recipe_file.write_text(json.dumps({**content, "source": {"path": name}}), "utf-8")
    return recipe_file


# At the start


def test_wrong_own_tables_are_left_out_and_told(qtbot, settings, data_folder, tmp_path, monkeypatch, lump):
    own = tmp_path / "own.toml"
    own.write_text("[[screw]]\nname = 3\n", "utf-8")
    monkeypatch.setenv(OWN_TABLES, str(own))
    made = build_window(settings, data_folder, "light")
    made.viewport.animated = False
    with qtbot.waitExposed(made):
        made.show()
    assert "own.toml" in made.trouble.words
    assert made.trouble.words.startswith("Your own tables were not loaded")
    opened_on(qtbot, made, lump)
    assert all(made.document.is_current(step.id) for step in made.document.recipe.steps)
    assert "own.toml" in made.trouble.words, "it stays until it is put away"
    assert made.rect().contains(made.trouble.geometry().translated(made.trouble.parentWidget().pos()))
    qtbot.mouseClick(made.trouble.away, LEFT)
    assert made.trouble.words == ""
    assert made.close()
    made.deleteLater()
    load_catalogue()


def test_a_folder_that_cannot_be_written_to_is_told_and_another_taken(qtbot, settings, tmp_path):
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("", "utf-8")
    made = build_window(settings, in_the_way / "kept", "light")
    with qtbot.waitExposed(made):
        made.show()
    assert made.trouble.words.startswith("Autosave is off")
    assert str(in_the_way) in made.trouble.words
    assert in_the_way.read_text("utf-8") == ""
    assert made.close()
    made.deleteLater()


# Recipes without a sculpt, and wrong ones


def test_a_recipe_without_a_sculpt_invites_one(qtbot, window, recipe_file, lump):
    drop(window, recipe_file)
    qtbot.waitUntil(lambda: window.missing_sculpt.words == "Drop a sculpt here")
    with answering() as asked:
        opened_on(qtbot, window, lump)
    assert asked == []
    assert window.document.path == recipe_file
    assert window.document.sculpt_path == lump
    assert window.missing_sculpt.words == ""
    settled(qtbot, window)
    assert window.viewport.scene.parts


def test_a_sculpt_that_is_gone_can_be_found(qtbot, window, recipe_file, lump, monkeypatch):
    opened_on(qtbot, window, on_sculpt(recipe_file, "away/gone.obj"))
    assert window.missing_sculpt.words == "gone.obj is not there"
    asked = []

    def find(_parent, folder):
        asked.append(folder)
        return lump

    monkeypatch.setattr(questions, "which_sculpt", find)
    with qtbot.waitSignal(window.document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        qtbot.mouseClick(window.missing_sculpt.find_button, LEFT)
    assert asked == [recipe_file.parent]
    assert window.document.sculpt_path == lump
    assert (window.missing_sculpt.words, window.notice.words) == ("", "")


def test_problems_of_a_recipe_begin_with_its_file_and_count_steps_from_one(recipe_file):
    content = json.loads(recipe_file.read_text("utf-8"))
    content["steps"] = [content["steps"][0], *reversed(content["steps"][1:])]
    content["steps"][1]["parameters"]["layers"] = 3
    recipe_file.write_text(json.dumps(content), "utf-8")
    with pytest.raises(RecipeError) as caught:
        load_recipe(recipe_file)
    sentence = recipe_sentence(caught.value, recipe_file)
    lines = sentence.splitlines()
    assert lines[0] == "route.json cannot be opened:"
    assert lines[1].startswith("Step 2 (Split core), layers is not known here")
    assert lines[2] == "Step 4 (Cut screw hole) belongs before Relieve back; move it up."
    assert lines[4:] == [f"And {len(caught.value.problems) - 3} more."]


# Files being written


def test_a_drop_while_files_are_written_asks_and_tells(qtbot, window, lump, tmp_path):
    opened_on(qtbot, window, lump)
    other = write_obj(tmp_path / "other.obj", boulder(segments=24, seed=5))
    qtbot.mouseClick(window.top_bar.export_button, LEFT)
    panel, folder = window.export_page, tmp_path / "parts"
    panel.folder_line.setText(str(folder))
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    assert panel.state == "writing"
    with answering("Cancel") as asked:
        drop(window, other)
        qtbot.waitUntil(lambda: bool(asked))
    assert asked == ["Files are still being written. Open anyway?"]
    assert window.document.sculpt_path == lump
    qtbot.waitUntil(lambda: panel.state == "written", timeout=WAIT)
    written = stamps(folder)

    qtbot.mouseClick(panel.export_foot.buttons["again"], LEFT)
    qtbot.mouseClick(panel.export_foot.buttons["replace"], LEFT)
    os.kill(window.document.supervisor.pid, signal.SIGSTOP)  # a slow disk
    assert panel.state == "writing"
    with answering("Open"):
        opened_on(qtbot, window, other)
    qtbot.waitUntil(lambda: window.notice.words.startswith("The files of lump were not written"))
    assert window.document.sculpt_path == other
    assert panel.state == "choosing"
    assert stamps(folder) == written


def stamps(folder: Path) -> dict[Path, int]:
    return {path: path.stat().st_mtime_ns for path in folder.glob("lump*")}


# Waiting for a click; before the hold has its size; masses


@pytest.fixture
def at_work(qtbot, shared_window, lump):
    """A window on that sculpt, the same for all tests that leave it as they met it."""
    taken_up(qtbot, shared_window, lump)
    yield shared_window
    left_as_met(qtbot, shared_window)


def test_a_back_to_be_clicked_is_asked_for_quietly(qtbot, at_work):
    window = at_work
    choose_step(qtbot, window, "s2")
    document, entry = window.document, window.sidebar.card.entries["s2"]
    told = []
    document.failed.connect(told.append)
    before = window.viewport.pose, window.viewport.scene.triangles(coarse=False)
    shown = document.step("s2")
    for by, asked in (("points", "three points"), ("plane", "plane"), ("face", "flat back")):
        document.edits.edit("s2", {"by": by})
        settled(qtbot, window)
        assert asked in entry.awaited.text()
        assert entry.awaited.isVisible()
        assert not entry.failure.isVisible()
        assert (told, window.notice.words, document.failure) == ([], "", "")
        assert (window.viewport.pose, window.viewport.scene.triangles(coarse=False)) == before
        assert document.step("s2").key == shown.key
    window.viewport.set_view("back")
    with qtbot.waitSignal(document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        click(window, window.viewport.rect().center() + QPoint(12, 7))
    settled(qtbot, window)
    assert document.recipe.step("s2").parameters.face is not None
    assert not entry.awaited.isVisible()
    assert all(document.is_current(step.id) for step in document.recipe.steps)


def test_before_it_has_its_size_no_wall_is_given_in_millimetres(qtbot, at_work):
    window, bar = at_work, at_work.view_bar
    choose_step(qtbot, window, "s2")
    window.actions_table["heat"].setChecked(True)
    qtbot.waitUntil(lambda: window.viewport.scene.heat is not None, timeout=WAIT)
    assert window.viewport.scene.heat.unit == "% of the extent"
    assert window.viewport.scene.heat.limit is None
    assert "% of the extent" in bar._thinnest.text()
    assert not bar.limit_box.isVisible()
    choose_step(qtbot, window, "s3")
    qtbot.waitUntil(lambda: "mm" in bar._thinnest.text(), timeout=WAIT)
    assert window.viewport.scene.heat.unit == "mm"
    assert bar.limit_box.isVisible()


def test_triangles_give_way_first_where_figures_have_no_room(qtbot, at_work):
    window, strip = at_work, at_work.measure_bar
    window.resize(1280, 800)
    qtbot.waitUntil(lambda: strip.width() > 900)
    assert strip.written == strip.facts, "nothing is left out in a window of 1280 by 800"
    window.resize(960, 640)
    qtbot.waitUntil(lambda: strip.width() < 700)
    assert any(fact.startswith("core") for fact in strip.written)


def test_what_has_the_keyboard_has_a_name_and_what_is_terse_a_tooltip(at_work):
    window = at_work
    assert window.viewport.focusProxy().accessibleName() == "The hold"
    assert window.sidebar.card._add.toolTip()
    window.sidebar.findings._fill()
    assert window.sidebar.findings.notes_button.toolTip()
    for name in ("screw", "washer"):
        assert window.joint_page.hardware.editors[name].keyboard_widget().toolTip()
