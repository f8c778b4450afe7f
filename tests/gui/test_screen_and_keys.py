"""The window on any screen and under any hand: clamped, worked by key, copied from, hinted once."""

import json

import pytest
from PySide6.QtCore import QMimeData, Qt, QUrl
from PySide6.QtGui import QContextMenuEvent, QDragEnterEvent, QDragLeaveEvent
from PySide6.QtWidgets import QApplication, QMenu

from holdwright.gui.document import questions
from holdwright.resources import sample_folder
from mesh_files import write_obj
from shapes import block, boulder
from whole_window import LEFT, WAIT, choose_step, drop, open_window, opened_on, pane, settled, window

__all__ = ["open_window", "window"]

NONE = Qt.KeyboardModifier.NoModifier


def _menu_at(widget) -> QMenu:
    middle = widget.rect().center()
    place = widget.mapToGlobal(middle)
    QApplication.sendEvent(widget, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, middle, place))
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    return menu


def _choose(menu: QMenu, text: str) -> str:
    next(each for each in menu.actions() if each.text() == text).trigger()
    menu.close()
    return QApplication.clipboard().text()


def test_the_window_is_never_larger_than_its_screen(qtbot, open_window):
    first = open_window((5000, 4000))
    first.move(900, 900)
    first.preferences.window_layout = first.saveGeometry()
    second = open_window(None)
    room = second.screen().availableGeometry()
    assert room.contains(second.geometry())


def test_a_narrow_bar_leaves_its_switches_to_the_menu(window):
    bar = window.top_bar
    bar.resize(600, bar.height())
    assert not bar.heat_button.isVisible()
    entries = {each.iconText(): each.text() for each in bar._views.menu().actions()}
    assert entries["Thickness map"].endswith("\tH")
    assert entries["Front"] == "Front\t2"
    bar.resize(1200, bar.height())
    assert bar.heat_button.isVisible()
    assert bar.heat_button.text() == "Thickness map"


def test_preferences_are_had_without_a_document(qtbot, window):
    window.actions_table["preferences"].trigger()
    page = window.preferences_page
    assert page.isVisible()
    qtbot.mouseClick(page.unit_words["inch"], LEFT)
    assert window.preferences.length_unit == "inch"
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert window.welcome_page.isVisible()


def test_enter_opens_a_recent_file_and_only_what_could_be_read_is_one(qtbot, window, tmp_path):
    broken = tmp_path / "broken.obj"
    broken.write_text("v 0 0 0\nv 1 0\nf 1 2 9\n", "utf-8")
    opened_on(qtbot, window, broken)
    assert window.recents.paths == ()
    lump = write_obj(tmp_path / "lump.obj", boulder(segments=16))
    opened_on(qtbot, window, lump)
    assert window.recents.paths == (lump,)
    window.document.open_session(None)
    row = window.welcome_page._list.itemAt(1).widget()
    row.setFocus()
    qtbot.keyClick(row, Qt.Key.Key_Return)
    assert window.document.sculpt_path == lump
    settled(qtbot, window)


def test_a_report_opened_as_a_recipe_says_so(qtbot, window, tmp_path):
    report = tmp_path / "renamed.json"
    report.write_text(
        json.dumps({"format": 2, "sculpt": {}, "recipe": {}, "steps": [], "solids": {}}), "utf-8"
    )
    drop(window, report)
    qtbot.waitUntil(lambda: "is the report of an export" in window.welcome_notice.words)
    assert window.recents.paths == ()


def test_what_hangs_over_an_open_hold_is_shown_where_it_can_be_dropped(qtbot, window, tmp_path):
    opened_on(qtbot, window, write_obj(tmp_path / "lump.obj", boulder(segments=16)))
    content = QMimeData()
    content.setUrls([QUrl.fromLocalFile(str(tmp_path / "lump.obj"))])
    handle, at = window.windowHandle(), window.rect().center()
    QApplication.sendEvent(handle, QDragEnterEvent(at, Qt.DropAction.CopyAction, content, LEFT, NONE))
    assert window.drop_frame.isVisible()
    QApplication.sendEvent(handle, QDragLeaveEvent())
    assert not window.drop_frame.isVisible()


def test_a_face_is_picked_by_key(qtbot, window, tmp_path):
    opened_on(qtbot, window, write_obj(tmp_path / "box.obj", block()))
    document = window.document
    choose_step(qtbot, window, "s3" if document.recipe.step("s3").operation == "orient_to_base" else "s2")
    step_id = document.selected
    document.edits.edit(step_id, {"by": "face"})
    settled(qtbot, window)
    window.viewport.set_view("front")
    view = pane(window)
    view.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(view, Qt.Key.Key_P)
    assert document.recipe.step(step_id).parameters.face is not None
    settled(qtbot, window)


def test_figures_and_the_picture_are_copied_and_saved(qtbot, window, tmp_path, monkeypatch):
    opened_on(qtbot, window, write_obj(tmp_path / "lump.obj", boulder(segments=16)))
    facts = window.measure_bar.facts
    assert _choose(_menu_at(window.measure_bar), "Copy figures") == ", ".join(facts)
    line = window.sidebar.card.entries["s4"].line
    assert _choose(_menu_at(line), "Copy figures") == window.document.step("s4").result
    modifiers = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window, Qt.Key.Key_C, modifiers)
    copied = QApplication.clipboard().pixmap()
    assert copied.size() == window.viewport.size() * window.devicePixelRatioF()
    asked = []
    chosen = tmp_path / "view.png"
    monkeypatch.setattr(questions, "where_to_save", lambda *about: asked.append(about[1:]) or chosen)
    qtbot.keyClick(window, Qt.Key.Key_P, modifiers)
    assert asked == [(tmp_path / "lump.png", "picture")]
    assert chosen.read_bytes().startswith(b"\x89PNG")
    chosen = tmp_path / "missing" / "view.png"
    qtbot.keyClick(window, Qt.Key.Key_P, modifiers)
    assert "could not be written" in window.notice.words


def test_the_sample_comes_with_hints_until_they_are_dismissed(qtbot, open_window):
    first = open_window()
    assert not first.first_hints.isVisible()
    qtbot.mouseClick(first.welcome_page._sample, LEFT)
    assert first.first_hints.isVisible()
    assert first.viewport.rect().contains(first.first_hints.geometry())
    first.document.open_session(None)
    assert not first.first_hints.isVisible()
    qtbot.mouseClick(first.welcome_page._sample, LEFT)
    qtbot.mouseClick(first.first_hints.away, LEFT)
    assert not first.first_hints.isVisible()
    assert first.close()
    second = open_window()
    qtbot.mouseClick(second.welcome_page._sample, LEFT)
    assert not second.first_hints.isVisible()
    settled(qtbot, second)


@pytest.mark.parametrize("samples", [False, True])
def test_export_offers_a_finished_folder_beside_the_sculpt(qtbot, window, tmp_path, samples):
    lump = write_obj(tmp_path / "lump.obj", boulder(segments=16))
    drop(window, sample_folder() / "hall-crimp.obj" if samples else lump)
    qtbot.waitUntil(lambda: window.document.session is not None)
    window.actions_table["export"].trigger()
    panel = window.export_page
    assert panel.choice.path.name == "finished"
    assert (panel.choice.path.parent == tmp_path) != samples
    if not samples:
        with qtbot.waitSignal(panel.written, timeout=WAIT):
            qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
        (tmp_path / "next").mkdir()
        panel._document.start_with_sculpt(write_obj(tmp_path / "next" / "lump.obj", boulder(segments=16)))
        window.actions_table["export"].trigger()
        assert panel.choice.path == tmp_path / "next" / "finished"
    settled(qtbot, window)
