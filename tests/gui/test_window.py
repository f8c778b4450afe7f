"""The window as a whole: what its buttons, keys and pages do, and that it is fit to be looked at."""

import json
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel

from holdwright.gui.application import build_window
from holdwright.gui.document import questions
from holdwright.gui.widgets import style
from holdwright.gui.widgets.question import Question
from holdwright.pipeline.recipes.recipe_file import find_recipe
from mesh_files import write_obj
from shapes import boulder
from whole_window import (
    LEFT,
    WAIT,
    choose_step,
    click,
    left_as_met,
    open_window,
    opened_on,
    pane,
    settled,
    taken_up,
    window,
)

__all__ = ["open_window", "window"]

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def recipe_file(tmp_path) -> Path:
    """The starter recipe on a small sculpt of the tester's own."""
    write_obj(tmp_path / "lump.obj", boulder(segments=24))
    content = json.loads(find_recipe("starter").read_text("utf-8"))
    path = tmp_path / "lump.json"
    path.write_text(json.dumps({**content, "source": {"path": "lump.obj"}}), "utf-8")
    return path


@pytest.fixture
def at_work(qtbot, shared_window, recipe_file):
    """A window with that recipe replayed, the same for all tests that leave it as they met it."""
    taken_up(qtbot, shared_window, recipe_file)
    yield shared_window
    left_as_met(qtbot, shared_window)


def test_the_empty_window_invites(qtbot, window, recipe_file, monkeypatch):
    assert window.welcome_page.isVisible()
    assert window.windowTitle() in ("", "Holdwright")
    assert not window.top_bar.export_button.isEnabled()
    assert not window.actions_table["export"].isEnabled()
    focused = window.focusWidget()
    assert isinstance(focused, QAbstractButton)
    assert focused.text() == "Open..."
    monkeypatch.setattr(questions, "what_to_open", lambda *_about: recipe_file)
    with qtbot.waitSignal(window.document.opened):
        qtbot.keyClick(focused, Qt.Key.Key_Space)
    assert window.document.path == recipe_file
    assert not window.welcome_page.isVisible()
    assert window.recents.paths == (recipe_file,)


def test_files_opened_last_and_the_sample_are_a_click_away(qtbot, open_window, recipe_file):
    first = open_window()
    first.recents.add(recipe_file)
    first.show_page()
    buttons = {
        each.accessibleName() or each.text(): each
        for each in first.welcome_page.findChildren(QAbstractButton)
    }
    qtbot.mouseClick(buttons["Open lump.json"], LEFT)
    assert first.document.path == recipe_file
    qtbot.waitUntil(lambda: bool(first.viewport.scene.visible), timeout=WAIT)
    assert first.close()
    second = open_window()
    picture = second.recents.picture(recipe_file)
    assert picture is not None
    image = picture.toImage()
    corner, middle = image.pixelColor(2, 2), image.pixelColor(image.rect().center())
    assert corner.lightness() > middle.lightness() + 20, "stone on paper"
    buttons = {each.text(): each for each in second.welcome_page.findChildren(QAbstractButton)}
    qtbot.mouseClick(buttons["Try the sample"], LEFT)
    assert second.document.sculpt_path.name == "hall-jug.obj"
    assert second.document.untouched


def test_the_finished_hold_is_shown_first_and_steps_by_clicks_and_keys(qtbot, at_work):
    document, viewport = at_work.document, at_work.viewport
    assert document.selected == ""
    assert set(viewport.scene.parts) == {"shell", "core"}
    assert "parts" in at_work.view_bar.on
    choose_step(qtbot, at_work, "s3")
    assert set(viewport.scene.parts) == {"whole"}
    assert "parts" not in at_work.view_bar.on
    qtbot.keyClick(at_work, Qt.Key.Key_PageDown, CONTROL)
    assert document.selected == "s4"
    qtbot.keyClick(at_work, Qt.Key.Key_PageUp, CONTROL)
    qtbot.keyClick(at_work, Qt.Key.Key_PageUp, CONTROL)
    assert document.selected == "s2"
    assert not viewport.scene.sized


def test_steps_are_added_skipped_and_taken_out(qtbot, at_work):
    document = at_work.document
    document.edits.add_step("cut_bore")
    added = document.selected
    assert document.undo_text
    settled(qtbot, at_work)
    document.edits.toggle_step(added)
    settled(qtbot, at_work)
    shown = at_work.viewport.scene.parts
    assert set(shown) == {"whole"}
    document.edits.remove_step(added)
    settled(qtbot, at_work)
    assert document.selected == ""
    assert set(at_work.viewport.scene.parts) == {"shell", "core"}
    assert at_work.viewport.tool is None
    for _ in range(3):
        qtbot.keyClick(at_work, Qt.Key.Key_Z, CONTROL)
    assert not document.undo_text
    assert not document.dirty


def test_letters_work_the_view_but_can_be_typed(qtbot, at_work):
    view = pane(at_work)
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_X)
    assert at_work.viewport.section is not None
    assert at_work.top_bar.section_button.isChecked()
    qtbot.keyClick(view, Qt.Key.Key_2)
    assert (at_work.viewport.pose.azimuth, at_work.viewport.pose.elevation) == (0.0, 0.0)
    qtbot.keyClick(view, Qt.Key.Key_G)
    assert not at_work.viewport.scene.wall.grid_shown
    assert not at_work.preferences.wall_grid
    qtbot.keyClick(view, Qt.Key.Key_G)
    assert at_work.preferences.wall_grid
    qtbot.keyClick(view, Qt.Key.Key_X)
    assert at_work.viewport.section is None
    choose_step(qtbot, at_work, "s4")
    rim = at_work.sidebar.card.entries["s4"].form.fields["rim"].editor.keyboard_widget()
    rim.setFocus()
    qtbot.keyClicks(rim, "xmh")
    assert at_work.viewport.section is None
    assert "measure" not in at_work.view_bar.on


def test_shell_and_core_apart_and_alone(qtbot, at_work):
    bar, scene = at_work.view_bar, at_work.viewport.scene
    bar.apart_slider.setFocus()
    qtbot.keyClick(bar.apart_slider, Qt.Key.Key_End)
    assert scene.parts["shell"].lift[2] > 10.0
    qtbot.mouseClick(bar.part_words["Core"], LEFT)
    assert [part.name for part in scene.visible] == ["core"]
    qtbot.mouseClick(bar.part_words["Both"], LEFT)
    assert len(list(scene.visible)) == 2
    qtbot.keyClick(bar.apart_slider, Qt.Key.Key_Home)
    assert scene.parts["shell"].lift[2] == 0.0


def test_walls_are_coloured_for_what_is_shown(qtbot, at_work):
    bar, scene = at_work.view_bar, at_work.viewport.scene
    qtbot.mouseClick(at_work.top_bar.heat_button, LEFT)
    qtbot.waitUntil(lambda: scene.heat is not None, timeout=WAIT)
    assert len(scene.heat.values) == len(scene.parts["shell"].surface.vertices)
    qtbot.mouseClick(bar.part_words["Core"], LEFT)
    qtbot.waitUntil(lambda: len(scene.heat.values) == len(scene.parts["core"].surface.vertices))
    box = bar.limit_box
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "9")
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert scene.heat.limit == 9.0
    qtbot.mouseClick(at_work.top_bar.heat_button, LEFT)
    assert scene.heat is None


def test_measuring_tells_its_figure_and_ends_with_escape(qtbot, at_work):
    choose_step(qtbot, at_work, "s4")
    tool = at_work.viewport.tool
    at_work.viewport.set_view("front")
    qtbot.mouseClick(at_work.top_bar.measure_button, LEFT)
    bar = at_work.view_bar
    assert "Click two points" in bar._distance.text()
    middle = at_work.viewport.rect().center()
    for offset in (-40, 40):
        click(at_work, middle + QPoint(offset, 0))
    assert bar._distance.text() == f"{at_work.viewport.tool.distances[0]:.1f} mm"
    qtbot.mouseClick(bar._clear, LEFT)
    assert "Click two points" in bar._distance.text()
    qtbot.keyClick(pane(at_work), Qt.Key.Key_Escape)
    assert not at_work.top_bar.measure_button.isChecked()
    assert "measure" not in bar.on
    assert type(at_work.viewport.tool) is type(tool)


def test_a_place_is_picked_in_the_view_for_a_field(qtbot, at_work):
    choose_step(qtbot, at_work, "s5")
    at_work.viewport.set_view("front")
    editor = at_work.sidebar.card.entries["s5"].form.fields["leave_out"].editor
    qtbot.waitUntil(lambda: editor.keyboard_widget().height() > 0)  # rows are laid out when shown
    qtbot.mouseClick(editor.keyboard_widget(), LEFT)
    met = at_work.viewport.pick(*(float(each) for each in at_work.viewport.rect().center().toTuple()))
    click(at_work, at_work.viewport.rect().center())
    (pick,) = at_work.document.recipe.step("s5").parameters.leave_out
    assert np.allclose(pick.point, met.point, atol=0.01)


def test_import_is_seen_whole_after_a_step_with_handles(qtbot, at_work):
    # What import makes lies far from the finished hold, and so from the bore's handles.
    choose_step(qtbot, at_work, "s6")
    choose_step(qtbot, at_work, "s1")
    at_work.viewport.fit()
    alone = at_work.viewport.pose
    choose_step(qtbot, at_work, "s6")
    choose_step(qtbot, at_work, "s1")
    assert at_work.viewport.pose.distance == pytest.approx(alone.distance, rel=0.01)
    assert np.allclose(at_work.viewport.pose.target, alone.target, atol=1.0)


def test_a_finding_takes_the_view_to_its_place(qtbot, at_work):
    document = at_work.document
    document.edits.edit("s6", {"place": "at", "at": (38.0, 0.0)})
    settled(qtbot, at_work)
    located = [(step_id, each) for step_id, each in document.findings if each.where is not None]
    assert located, "a bore at the edge leaves thin walls"
    step_id, finding = located[0]
    at_work.sidebar.finding_chosen.emit(step_id, finding)
    assert document.selected == step_id
    x, y, _ = at_work.viewport.lens.project(finding.where)[0]
    middle = at_work.viewport.rect().center()
    assert abs(x - middle.x()) < 5
    assert abs(y - middle.y()) < 5


def test_pages_sheets_and_preferences(qtbot, at_work):
    qtbot.keyClick(at_work, Qt.Key.Key_E, CONTROL)
    assert at_work.left.currentWidget() is at_work.export_page
    qtbot.keyClick(at_work, Qt.Key.Key_Comma, CONTROL)
    assert at_work.left.currentWidget() is at_work.preferences_page
    try:
        at_work.preferences.scheme = "dark"
        qtbot.waitUntil(lambda: at_work.palette().window().color().name().upper() == style.DARK.paper)
        assert at_work.viewport.tones == style.DARK
    finally:
        at_work.preferences.scheme = "light"
    assert at_work.viewport.tones == style.LIGHT
    at_work.preferences.length_unit = "inch"
    try:
        assert at_work.measure_bar.facts[0].endswith(" in")
        assert at_work.viewport.length_text(25.4) == "1.00 in"
        told = [entry.line.state.result for entry in at_work.sidebar.card.entries.values()]
        assert any(" in" in text for text in told)
        assert not any(" mm" in text for text in told)
    finally:
        at_work.preferences.length_unit = "mm"
    qtbot.keyClick(at_work, Qt.Key.Key_F1)
    assert at_work.help_page.isVisible()
    qtbot.keyClick(at_work.help_page, Qt.Key.Key_Escape)
    assert not at_work.help_page.isVisible()


def test_the_geometry_process_is_ready_before_the_first_sculpt(qtbot, settings, data_folder):
    window = build_window(settings, data_folder, "light", warm=True)
    window.show()
    qtbot.waitUntil(lambda: window.document.supervisor.pid != 0)
    assert not window.document.busy
    window.close()
    window.deleteLater()


def test_layout_is_kept_and_nothing_is_clipped(qtbot, open_window, recipe_file):
    first = open_window()
    first.resize(1100, 720)
    opened_on(qtbot, first, recipe_file)
    for step in first.document.recipe.steps:
        choose_step(qtbot, first, step.id)
        qtbot.wait(30)
        assert _clipped(first) == [], step.operation
    for name in ("export", "preferences", "section", "measure", "heat"):
        first.actions_table[name].trigger()
        qtbot.wait(1)
        assert _clipped(first) == [], name
    assert first.close()
    second = open_window(None)
    assert (second.width(), second.height()) == (1100, 720)


def _clipped(window) -> list[str]:
    """Give the texts of visible labels and buttons that have less room than they need."""
    tight = []
    for each in (*window.findChildren(QLabel), *window.findChildren(QAbstractButton)):
        style_of = getattr(each, "toolButtonStyle", lambda: None)()
        wordless = not each.text() or style_of == Qt.ToolButtonStyle.ToolButtonIconOnly
        if wordless or not each.isVisible():
            continue
        if each.width() < each.minimumSizeHint().width() or each.height() < each.fontMetrics().height():
            tight.append(each.text())
    return tight


def test_nameless_buttons_do_not_exist(at_work):
    nameless = [
        type(each).__name__
        for each in at_work.findChildren(QAbstractButton)
        if each.isVisible() and not (each.text() or each.accessibleName())
    ]
    assert nameless == []


def test_a_value_a_step_refuses_is_told_in_its_own_words_until_it_is_changed(qtbot, at_work):
    at_work.document.edits.edit("s6", {"place": "at", "at": (300.0, 0.0)})
    settled(qtbot, at_work)
    failure = at_work.sidebar.card.entries["s6"].failure
    assert failure.isVisible()
    state = at_work.sidebar.card.entries["s6"].line.state
    assert state.failed.startswith("A bore at 300, 0 mm was requested")
    assert at_work.stopped_banner.words.startswith("Cut bore failed.")
    assert at_work.notice.words == "", "its words are read once"
    at_work.document.edits.undo()
    assert at_work.stopped_banner.words == ""


@pytest.mark.parametrize(("key", "answer"), [(Qt.Key.Key_Return, 0), (Qt.Key.Key_Escape, 2)])
def test_questions_are_answered_by_keys(qtbot, window, key, answer):
    def press() -> None:
        asked = QApplication.activeModalWidget()
        if isinstance(asked, Question) and asked.isVisible():
            qtbot.keyClick(asked.focusWidget() or asked, key)

    timer = QTimer()
    timer.timeout.connect(press)
    timer.start(20)
    assert questions.ask(window, "Which way?", "All ways are open.", ["On", "Back", "Cancel"]) == answer
    timer.stop()
