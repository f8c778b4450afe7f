"""Preferences: kept between sessions, told when they change, never read wrongly."""

import pytest
from PySide6.QtCore import QByteArray, QSettings, Qt

from holdwright.gui.pages.preferences import Preferences, PreferencesPage
from holdwright.gui.widgets import style

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(qtbot, settings):
    made = PreferencesPage(Preferences(settings))
    qtbot.addWidget(made)
    made.resize(340, 500)
    with qtbot.waitExposed(made):
        made.show()
    return made


def reopened(settings: QSettings) -> Preferences:
    """The preferences as another session finds them on the disk."""
    settings.sync()
    return Preferences(QSettings(settings.fileName(), QSettings.Format.IniFormat))


def test_before_anything_is_chosen(settings):
    preferences = Preferences(settings)
    assert preferences.scheme == "system"
    assert preferences.length_unit == "mm"
    assert preferences.camera_motion
    assert preferences.wall_grid
    assert not preferences.replay_changed
    assert preferences.window_layout.isEmpty()


def test_what_is_chosen_is_kept(qtbot, page, settings):
    qtbot.mouseClick(page.scheme_words["dark"], LEFT)
    qtbot.mouseClick(page.unit_words["inch"], LEFT)
    qtbot.mouseClick(page.motion_box, LEFT, pos=page.motion_box.rect().center() / 4)
    qtbot.mouseClick(page.grid_box, LEFT, pos=page.grid_box.rect().center() / 4)
    page._preferences.window_layout = QByteArray(b"\x01\x02")
    kept = reopened(settings)
    assert (kept.scheme, kept.length_unit) == ("dark", "inch")
    assert (kept.camera_motion, kept.wall_grid) == (False, False)
    assert kept.window_layout == QByteArray(b"\x01\x02")


def test_changes_are_told_once_and_shown(qtbot, settings, page):
    preferences = page._preferences
    with qtbot.waitSignal(preferences.changed) as met:
        preferences.wall_grid = False
    assert met.args == ["wall_grid"]
    assert not page.grid_box.isChecked()
    with qtbot.assertNotEmitted(preferences.changed):
        preferences.wall_grid = False


@pytest.mark.parametrize(
    "name", ["scheme", "length_unit", "camera_motion", "wall_grid", "replay_changed", "window_layout"]
)
@pytest.mark.parametrize("spoilt", ["nonsense", ["a", "b"], 7])
def test_what_makes_no_sense_counts_as_the_default(settings, tmp_path, name, spoilt):
    settings.setValue(name, spoilt)
    default = getattr(Preferences(QSettings(str(tmp_path / "none.ini"), QSettings.Format.IniFormat)), name)
    assert getattr(reopened(settings), name) == default


def test_the_scheme_to_dress_in(qapp, settings):
    preferences = Preferences(settings)
    assert preferences.scheme_for(qapp) == style.system_scheme(qapp)
    preferences.scheme = "dark"
    assert preferences.scheme_for(qapp) == "dark"


def test_choices_can_be_made_by_key(qtbot, page):
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    page.scheme_words["system"].setFocus()
    qtbot.keyClick(page.scheme_words["system"], Qt.Key.Key_Right)
    assert page._preferences.scheme == "light"
    page.grid_box.setFocus()
    qtbot.keyClick(page.grid_box, Qt.Key.Key_Space)
    assert not page._preferences.wall_grid
    with qtbot.waitSignal(page.closed):
        qtbot.keyClick(page.grid_box, Qt.Key.Key_Escape)
