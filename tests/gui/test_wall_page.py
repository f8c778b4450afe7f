"""A wall in the window: holds dragged, turned, moved by keys, added, taken off, spread, saved; one window."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from holdwright.gui.document import questions, wall_work
from holdwright.wall.wall_file import load_wall
from wall.hanging import BAR
from whole_window import LEFT, WAIT, answering, drop, open_window, window

__all__ = ["open_window", "window"]

CENTRED = replace(BAR, bores=((0.0, 0.0),))
GRID = {"pitch_x": 200, "pitch_y": 200, "edge_x": 100, "edge_y": 100}


@pytest.fixture
def wall_file(tmp_path, monkeypatch) -> Path:
    """A wall of 1 by 1 m with two holds, beside the folder of a set whose holds are plain bars."""
    (tmp_path / "made").mkdir()
    listed = {"holds": [{"name": "bar", "count": 3, "key": "k"}]}
    (tmp_path / "made" / "set.report.json").write_text(json.dumps(listed), "utf-8")
    monkeypatch.setattr(wall_work, "hanging_holds", lambda _folder: {"bar": (CENTRED, 3)})
    placed = [{"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "D2"}]
    path = tmp_path / "north.json"
    content = {"panels": {"width": 1000, "height": 1000}, "t_nuts": GRID, "placed": placed}
    path.write_text(json.dumps(content), "utf-8")
    return path


def hanging(window) -> list[tuple[str, float]]:
    return [(one.t_nut, one.turn) for one in window.whole_pages.wall_work.plan.hung]


def pixel_of(view, number: int, by: tuple[float, float] = (0.0, 0.0)) -> QPoint:
    """Give the pixel of a hold's bolt, or of a place so many mm off it."""
    scale = view.transform().m11()
    at = view.place_of(number).toPoint()
    return at + QPoint(round(by[0] * scale), round(-by[1] * scale))


def dragged(view, start: QPoint, end: QPoint) -> None:
    QTest.mousePress(view.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, start)
    for share in (0.3, 0.7, 1.0):
        QTest.mouseMove(view.viewport(), start + (end - start) * share)
    QTest.mouseRelease(view.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)


def test_holds_are_hung_by_hand(qtbot, window, wall_file, tmp_path, monkeypatch):
    pages, work = window.whole_pages, window.whole_pages.wall_work
    page, view, panel = pages.wall_page, pages.wall_page.view, pages.wall_page.panel
    bad = tmp_path / "bad.wall.json"
    bad.write_text('{"panels": {"width": 5}}', "utf-8")
    drop(window, bad)
    qtbot.waitUntil(lambda: "panels.width: must be at least 100" in window.welcome_notice.words, timeout=WAIT)

    drop(window, wall_file)
    qtbot.waitUntil(lambda: work.plan is not None, timeout=WAIT)
    assert page.isVisible()
    assert window.windowTitle() == "north"
    assert page.state == "2 holds on the wall, 1 to hang"

    dragged(view, pixel_of(view, 1, (20.0, 10.0)), pixel_of(view, 1, (220.0, 205.0)))
    assert hanging(window) == [("C3", 0.0), ("D2", 0.0)]
    dragged(view, pixel_of(view, 1, (20.0, 10.0)), pixel_of(view, 1, (215.0, -190.0)))
    assert hanging(window)[0] == ("D2", 0.0)
    assert [line.accessibleName() for line in panel.lines] == [
        "error: bar at D2 and bar at D2 hang at the same T-nut."
    ]
    assert window.windowTitle() == "north*"
    qtbot.mouseClick(page.undo_button, LEFT)
    assert hanging(window)[0] == ("C3", 0.0)
    assert panel.lines == []

    view.setFocus()
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Left, Qt.Key.Key_Comma):
        QTest.keyClick(view, key)
    assert hanging(window)[0] == ("B4", 15.0)
    grip = view.mapFromScene(view._items[0].pos() + view._items[0].grip(view.transform().m11()))
    dragged(view, grip, pixel_of(view, 1, (200.0, 0.0)))
    assert hanging(window)[0] == ("B4", -90.0)
    QTest.keyClick(view, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert hanging(window)[0] == ("B4", 15.0)

    qtbot.mouseClick(panel.buttons["bar"], LEFT)
    assert (len(hanging(window)), view.number) == (3, 3)
    assert panel.buttons == {}
    QTest.keyClick(view, Qt.Key.Key_N)
    assert view.number == 1
    QTest.keyClick(view, Qt.Key.Key_Delete)
    assert hanging(window)[0] == ("D2", 0.0)

    _changes_the_grid(qtbot, window)
    _spreads_and_saves(qtbot, window, wall_file)

    monkeypatch.setattr(questions, "which_folder", lambda *_about: tmp_path / "plan")
    qtbot.mouseClick(page.write_button, LEFT)
    qtbot.waitUntil(lambda: not work.busy, timeout=WAIT)
    assert {each.name for each in (tmp_path / "plan").iterdir()} >= {"wall-plan.svg", "mounting-list.csv"}
    QTest.keyClick(view, Qt.Key.Key_Escape)
    assert not page.isVisible()


def _changes_the_grid(qtbot, window) -> None:
    work, page = window.whole_pages.wall_work, window.whole_pages.wall_page
    before, seen = work.plan.wall, page.view.sceneRect()
    qtbot.mouseClick(page.panel.grid_fold.button, LEFT)
    fields = page.panel.grid.fields
    box = fields["panels", "height"].editor.keyboard_widget()
    box.lineEdit().setText("500")
    QTest.keyClick(box, Qt.Key.Key_Return)
    assert work.plan.wall.panels.height == 500.0
    assert page.view.sceneRect().height() == pytest.approx(seen.height() - 500.0)
    assert "Taken off, as the T-nut is no longer there: bar at " in window.trouble.words
    qtbot.mouseClick(page.undo_button, LEFT)
    assert (work.plan.wall, box.value, page.view.sceneRect()) == (before, 1000.0, seen)
    qtbot.mouseClick(fields["t_nuts", "stagger"].editor.keyboard_widget(), LEFT)
    assert work.plan.wall.t_nuts.stagger
    qtbot.mouseClick(page.undo_button, LEFT)
    page.view.setFocus()


def _spreads_and_saves(qtbot, window, wall_file: Path) -> None:
    work, page = window.whole_pages.wall_work, window.whole_pages.wall_page
    page.seed.setText("seven")
    qtbot.mouseClick(page.spread_button, LEFT)
    assert "should be a whole one" in window.trouble.words
    page.seed.setText("7")
    qtbot.mouseClick(page.spread_button, LEFT)
    assert len(hanging(window)) == 3
    assert page.state == "3 holds on the wall, not saved"
    with answering("Cancel") as asked:
        assert not window.close()
    assert "Save the changes to north?" in asked
    QTest.keyClick(page.view, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert load_wall(wall_file) == work.plan.wall
    assert work.plan.wall.set_folder == "made"
    assert not page.is_changed
