"""Findings, thickness and camera in the whole window, with the pointer."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest

from holdwright.gui.sidebar.finding_line import FindingLine
from mesh_files import write_obj
from shapes import block
from whole_window import (
    LEFT,
    WAIT,
    along,
    choose_step,
    drag,
    grip_pixel,
    open_window,
    opened_on,
    pane,
    pixel,
    settled,
    window,
)

__all__ = ["open_window", "window"]


@pytest.fixture
def at_work(qtbot, window, tmp_path):
    """A window on a thin plate: too thin for its bore."""
    write_obj(tmp_path / "plate.obj", block(100.0, 80.0, 14.0))
    opened_on(qtbot, window, tmp_path / "plate.obj")
    return window


def _step(window, operation: str) -> str:
    return next(step.id for step in window.document.recipe.steps if step.operation == operation)


def test_ending_a_drag_leaves_the_camera_where_it_is(qtbot, at_work):
    for operation, grip in (("orient_to_base", "turn"), ("scale_to_envelope", "circle-knob")):
        choose_step(qtbot, at_work, _step(at_work, operation))
        settled(qtbot, at_work)
        pose, before = at_work.viewport.pose, at_work.document.recipe
        drag(at_work, grip_pixel(at_work, grip), along(at_work, grip, (9.0, -9.0, 0.0)))
        assert at_work.document.recipe != before, "the drag ended in an edit"
        settled(qtbot, at_work)
        assert at_work.viewport.pose is pose


def test_a_finding_is_found_by_a_click_and_the_list_keeps_its_shape(qtbot, at_work, open_window):
    findings = at_work.sidebar.findings
    lines = [line for line in findings.findChildren(FindingLine) if line.isVisible()]
    assert lines, "so thin a plate deserves a look"
    assert findings.height() <= 0.38 * at_work.height()
    line = next(line for line in lines if "place on the hold" in line.toolTip())
    text = line.text()
    QTest.mouseClick(line, LEFT)
    settled(qtbot, at_work)
    flags = at_work.viewport._flags
    assert 0 <= flags._told < len(flags.markers)
    place = np.array(flags.markers[flags._told].where)
    middle = at_work.viewport.rect().center()
    assert (pixel(at_work, place) - middle).manhattanLength() < 12, text
    QTest.mouseClick(findings.headline, LEFT)
    assert not [line for line in findings.findChildren(FindingLine) if line.isVisible()]
    other = open_window()
    opened_on(qtbot, other, at_work.document.sculpt_path)
    lines = other.sidebar.findings.findChildren(FindingLine)
    assert lines
    assert not any(line.isVisible() for line in lines), "folded as it was left"


def test_the_map_says_the_thickness_under_the_pointer_and_where_it_is_least(qtbot, at_work):
    choose_step(qtbot, at_work, _step(at_work, "cut_bore"))
    settled(qtbot, at_work)
    at_work.actions_table["heat"].trigger()
    qtbot.waitUntil(lambda: at_work.view_bar._thinnest.isEnabled(), timeout=WAIT)
    view = at_work.viewport
    view.set_view("front")
    top = view.scene.extremes[2, 1]
    spot = pixel(at_work, np.array([38.0, 28.0, top[2]]))
    qtbot.mouseMove(pane(at_work), spot)
    said = view.overlay.labels["thickness/"].text
    assert said.endswith(" thick")
    pick = view.pick(spot.x(), spot.y())
    value = view.scene.heat.value_at(pick, view.scene.parts[pick.part].surface)
    assert float(said.split()[0]) == pytest.approx(value, abs=0.06)
    qtbot.mouseMove(pane(at_work), QPoint(5, 5))
    assert "thickness/" not in view.overlay.names
    QTest.mouseClick(at_work.view_bar._thinnest, LEFT)
    assert view.overlay.labels["thickness/thinnest"].text.startswith("thinnest ")
    at_work.actions_table["heat"].trigger()
    assert "thickness/thinnest" not in view.overlay.names


def test_no_flag_stands_in_the_air_where_the_hold_is_cut_away(qtbot, at_work):
    settled(qtbot, at_work)
    view = at_work.viewport
    flags = view._flags
    assert flags.markers, "so thin a plate deserves a look"
    place = np.array(flags.markers[0].where)
    shown = len(flags.cloths(view.lens))
    view.set_section(place - (5.0, 0.0, 0.0), (1.0, 0.0, 0.0))
    assert len(flags.cloths(view.lens)) < shown
    cut_away = pixel(at_work, place)
    assert flags.at(cut_away.x() + 8, cut_away.y() - 22, view.lens) != 0
    view.set_section(place, (1.0, 0.0, 0.0))
    assert flags.at(cut_away.x() + 8, cut_away.y() - 22, view.lens) >= 0, "on the cut itself it stays"
    view.clear_section()
    assert len(flags.cloths(view.lens)) == shown
