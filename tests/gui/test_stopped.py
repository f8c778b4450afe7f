"""Work that was stopped is never silently stale: the window says so, and files are of what is shown."""

import os
import signal

import pytest
import trimesh
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from holdwright.resources import sample_folder
from whole_window import (
    LEFT,
    WAIT,
    choose_step,
    left_as_met,
    settled,
    taken_up,
)

AS_BEFORE = "Stopped. Shown: as before the change."


@pytest.fixture
def finished(qtbot, shared_window):
    """A window on the sample, the same for all tests here."""
    taken_up(qtbot, shared_window, sample_folder() / "hall-crimp.obj")
    yield shared_window
    left_as_met(qtbot, shared_window)


@pytest.fixture
def stopped(qtbot, finished):
    """A window on the sample in which a rim of 9 mm was typed and its computation stopped by a click."""
    window, document = finished, finished.document
    choose_step(qtbot, window, "s4")
    box = window.sidebar.card.entries["s4"].form.fields["rim"].editor.keyboard_widget()
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "9")
    # Held, so that there is time to stop it on any machine.
    os.kill(document.supervisor.pid, signal.SIGSTOP)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    qtbot.mouseClick(window.top_bar.cancel_button, LEFT)
    qtbot.waitUntil(lambda: not document.busy, timeout=WAIT)
    assert QApplication.focusWidget() is box, "the keyboard stays where it was"
    return window


def _banners(window) -> list[str]:
    return [each.words for each in (window.stopped_banner, window.left_banner)]


def test_what_is_shown_is_said_everywhere_until_it_goes_on(qtbot, stopped):
    window, document = stopped, stopped.document
    assert _banners(window) == [AS_BEFORE] * 2
    assert window.top_bar.doing.whole == "Stopped"
    assert window.measure_bar.facts[0] == "Before the change:"
    assert window.sidebar.findings.headline.text() == "No warnings, as before"
    state = window.sidebar.card.entries["s4"].line.state
    assert state.stale
    assert state.result.startswith("rim 3 mm")
    for page in ("joint", "export"):
        window.actions_table[page].trigger()
        assert _banners(window) == [AS_BEFORE] * 2
    assert window.left.currentWidget() is window.export_page
    assert not window.left_banner.go_on.isVisible(), "it is offered over the hold and in the bar"
    qtbot.mouseClick(window.stopped_banner.go_on, LEFT)
    assert document.busy
    assert _banners(window) == ["", ""]
    settled(qtbot, window)
    assert document.step("s4").result.startswith("rim 9 mm")
    assert window.top_bar.doing.whole == ""
    assert not window.measure_bar.facts[0].startswith("Before")


def test_undo_ends_the_stop_and_the_bars_button_goes_on(qtbot, stopped):
    window, document = stopped, stopped.document
    assert window.top_bar.cancel_button.text() == "Go on"
    qtbot.mouseClick(window.top_bar.undo_button, LEFT)
    settled(qtbot, window)
    assert _banners(window) == ["", ""]
    assert document.step("s4").result.startswith("rim 3 mm")
    assert not window.top_bar.cancel_button.isVisible()


def test_export_brings_card_and_view_up_to_date(qtbot, stopped, tmp_path):
    window, document, panel = stopped, stopped.document, stopped.export_page
    before = document.step("s7").measures.volume_mm3
    window.actions_table["export"].trigger()
    panel.folder_line.setText(str(tmp_path / "out"))
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    settled(qtbot, window)
    assert _banners(window) == ["", ""]
    assert all(document.is_current(step.id) for step in document.recipe.steps)
    now = document.step("s7").measures.volume_mm3
    assert now != pytest.approx(before, rel=1e-3)
    parts = [trimesh.load_mesh(tmp_path / "out" / f"hall-crimp-{each}.stl") for each in ("shell", "core")]
    assert sum(part.volume for part in parts) == pytest.approx(now, rel=1e-4)
    assert not panel._changed.isVisible()
    qtbot.mouseClick(window.top_bar.undo_button, LEFT)
    settled(qtbot, window)


def test_a_recipe_that_fails_is_not_written_and_its_step_is_a_click_away(qtbot, finished):
    window = finished
    panel, fields = window.export_page, window.export_page.option_fields
    window.resize(1280, 800)
    window.show_left(panel)
    qtbot.wait(50)
    window.show_left(window.sidebar)
    window.document.edits.edit("s4", {"by": "height", "height": 900.0})
    settled(qtbot, window)
    window.actions_table["export"].trigger()
    qtbot.wait(50)
    assert fields.height() >= fields.minimumSizeHint().height(), "what comes later squeezes nothing"
    assert not panel.export_foot.buttons["write"].isEnabled()
    assert window.left_banner.words == "Trim base failed. Shown: as before the change."
    qtbot.keyClick(panel.folder_line, Qt.Key.Key_Return)
    assert panel.state == "choosing"
    qtbot.mouseClick(panel.step_button, LEFT)
    assert window.document.selected == "s4"
    assert window.left.currentWidget() is window.sidebar
    assert _banners(window) == ["Trim base failed. Shown: the hold before it.", ""], "the row says why"
    assert window.sidebar.card.entries["s4"].failure.isVisible()
    choose_step(qtbot, window, "s3")
    assert window.stopped_banner.words.startswith("Trim base failed. This step is up to date")
    window.actions_table["joint"].trigger()
    qtbot.mouseClick(window.left_banner.to_step, LEFT)
    assert window.document.selected == "s4"
    assert window.left.currentWidget() is window.sidebar
    assert window.sidebar.findings.headline.text().startswith("Stopped at Trim base")
    window.document.edits.undo()
    settled(qtbot, window)
    assert window.left_banner.words == ""
    window.actions_table["export"].trigger()
    assert panel.export_foot.buttons["write"].isEnabled()
