"""The menu under the right button in the view, by the pointer."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from mesh_files import write_obj
from shapes import block
from whole_window import open_window, opened_on, pane, window

__all__ = ["open_window", "window"]

RIGHT = Qt.MouseButton.RightButton


@pytest.fixture
def at_work(qtbot, window, tmp_path):
    """A window on a thin plate, seen from the front: too thin for its bore, which bears a flag."""
    opened_on(qtbot, window, write_obj(tmp_path / "plate.obj", block(100.0, 80.0, 14.0)))
    window.viewport.set_view("front")
    return window


def menu_at(window, place: QPoint) -> QMenu:
    """Click with the right button, and give the menu that opens."""
    QTest.mouseClick(pane(window), RIGHT, Qt.KeyboardModifier.NoModifier, place)
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    return menu


def copied(menu: QMenu, title: str) -> str:
    """Choose an entry, and give what is on the clipboard then."""
    next(each for each in menu.actions() if each.text() == title).trigger()
    menu.close()
    return QApplication.clipboard().text()


def test_the_menu_copies_what_is_under_the_pointer(at_work):
    view = at_work.viewport
    flag = view._flags.cloths(view.lens)[0].center().toPoint()
    finding = view.finding_at(flag.x(), flag.y())
    assert copied(menu_at(at_work, flag), "Copy finding").endswith(finding.advice)
    middle = pane(at_work).rect().center() + QPoint(60, 0)
    place = copied(menu_at(at_work, middle), "Copy place")
    point = view.pick(middle.x(), middle.y()).point
    assert [float(each.split()[0]) for each in place.split(", ")] == pytest.approx(point, abs=0.06)
    assert copied(menu_at(at_work, middle), "Copy figures") == ", ".join(at_work.measure_bar.facts)
    bare = menu_at(at_work, QPoint(3, pane(at_work).height() // 2))
    titles = [each.iconText() for each in bare.actions()]
    assert "Copy place" not in titles
    assert {"Copy picture", "Save picture...", "Front", "Fit the hold"} <= set(titles)
    next(each for each in bare.actions() if each.iconText() == "Back").trigger()
    bare.close()
    assert view.pose.azimuth == pytest.approx(180.0)


def test_the_right_button_still_pans_and_the_menu_key_opens_it_too(at_work):
    view, glass = at_work.viewport, pane(at_work)
    start, pose = glass.rect().center(), view.pose
    QTest.mousePress(glass, RIGHT, Qt.KeyboardModifier.NoModifier, start)
    QTest.mouseMove(glass, start + QPoint(40, 10))
    QTest.mouseRelease(glass, RIGHT, Qt.KeyboardModifier.NoModifier, start + QPoint(40, 10))
    assert QApplication.activePopupWidget() is None
    assert view.pose.azimuth == pose.azimuth
    assert abs(view.pose.target - pose.target).max() > 1.0
    by_key = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, start, glass.mapToGlobal(start))
    QApplication.sendEvent(glass, by_key)
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    menu.close()
