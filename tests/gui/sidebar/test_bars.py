"""Top bar, measures strip and the sheet of keys."""

from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.measure_bar import MeasureBar
from holdwright.gui.bars.top_bar import TopBar
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.pages.help_page import HelpPage
from holdwright.gui.widgets.painting import paint_icon
from holdwright.joint.cautions import CAUTIONS
from holdwright.ranges import Range
from holdwright.resources import resource_folder
from quiet_runner import measures, solid

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def actions(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    made = Actions(window, QWidget(window))
    made.window = window  # lives as long as its actions
    return made


@pytest.fixture
def bar(document, actions, shown):
    return shown(TopBar(document, actions), 1280, 44)


def test_the_bar_says_what_is_open_and_whether_it_is_saved(bar, document, tmp_path):
    assert bar.title == "hall-jug", "nothing that could be lost"
    document.edits.edit("s4", {"rim": 4.0})
    assert bar.title == "hall-jug, not saved"
    assert document.save(tmp_path / "jug for the hall.json")
    assert bar.title == "jug for the hall on hall-jug"
    document.edits.edit("s4", {"rim": 5.0})
    assert bar.title == "jug for the hall on hall-jug, changed"
    document.open_session(None)
    assert bar.title == "Holdwright"


def test_undo_and_redo_say_what_they_would_do(qtbot, bar, document):
    assert not bar.undo_button.isEnabled()
    assert bar.undo_button.accessibleName() == "Nothing to undo"
    document.edits.edit("s4", {"rim": 5.0})
    assert bar.undo_button.toolTip() == "Undo: rim 3 → 5 mm" == bar.undo_button.accessibleName()
    qtbot.mouseClick(bar.undo_button, LEFT)
    assert document.recipe.step("s4").parameters.rim == 3.0
    assert bar.redo_button.toolTip() == "Redo: rim 3 → 5 mm"
    qtbot.mouseClick(bar.redo_button, LEFT)
    assert document.recipe.step("s4").parameters.rim == 5.0
    assert bar.undo_button.hasFocus(), "not what comes next in the bar"


def test_work_is_told_in_words_and_can_be_cancelled(qtbot, bar, document, runner):
    assert bar.cancel_button.isVisible()
    runner.reported.emit(1, 0.42, "looking for tips")
    assert bar.doing.whole == "Looking for tips, 42 %"
    qtbot.mouseClick(bar.cancel_button, LEFT)
    assert runner.stops > 0
    runner.finish()
    assert not bar.cancel_button.isVisible()
    assert bar.doing.whole == ""


def test_switches_and_buttons_give_the_commands_and_follow_them(qtbot, bar, actions):
    for button, name in (
        (bar.section_button, "section"),
        (bar.measure_button, "measure"),
        (bar.heat_button, "heat"),
    ):
        with qtbot.waitSignal(actions[name].toggled) as switched:
            qtbot.mouseClick(button, LEFT)
        assert switched.args == [True]
    actions["section"].setChecked(False)
    assert not bar.section_button.isChecked()
    assert bar.measure_button.isChecked()
    with qtbot.waitSignal(actions["export"].triggered):
        bar.export_button.setFocus()
        qtbot.keyClick(bar.export_button, Qt.Key.Key_Space)


def test_menus_hold_the_commands_and_what_needs_a_document_is_off_without_one(bar, actions):
    listed = {action for menu in bar.findChildren(QMenu) for action in menu.actions()}
    for name in ("view_right", "fit", "open", "save", "save_as", "joint", "preferences", "help", "close"):
        assert actions[name] in listed, name
    actions.set_document_open(False)
    assert not actions["save"].isEnabled()
    assert not bar.export_button.isEnabled()
    assert actions["open"].isEnabled()


def test_nothing_in_the_bar_is_clipped_in_a_small_window(bar, document, tmp_path):
    document.save(tmp_path / f"{'a very long name of a hold ' * 4}.json")
    document.edits.edit("s4", {"rim": 5.0})
    bar.resize(1024, 44)
    assert bar.minimumSizeHint().width() <= 1024
    QApplication.processEvents()
    assert bar.export_button.geometry().right() <= bar.width()
    assert bar.export_button.width() >= bar.export_button.sizeHint().width()
    assert document.path.stem in bar.title


def test_measures_are_those_of_the_step_worked_on(document, runner, shown):
    work = PrintWork(document, document)
    strip = shown(MeasureBar(document, work), 900, 36)
    assert strip.facts == ()
    runner.give(document, "s1", measures=measures(100, 90, 50, 2e5), solids={"whole": solid(2e5)})
    assert strip.facts == ("not to size at this step", "1 triangles")
    runner.give(
        document, "s6", measures=measures(120, 104.2, 58.3, 312e3), sized=True, solids={"whole": solid(312e3)}
    )
    runner.give(
        document,
        "s7",
        measures=measures(120, 104.2, 58.3, 3e5),
        sized=True,
        solids={"shell": solid(266e3), "core": solid(34e3)},
    )
    size = "120.0 \N{MULTIPLICATION SIGN} 104.2 \N{MULTIPLICATION SIGN} 58.3 mm"
    parts = (size, "shell 266 cm³", "core 34.0 cm³", "both 300 cm³")
    assert strip.facts == (*parts, "mass being computed", "2 triangles")
    masses = {"shell": 178.7, "core": 53.5, "both": 232.2}
    work.view = SimpleNamespace(
        estimates={part: SimpleNamespace(mass=Range(each, each, each)) for part, each in masses.items()}
    )
    work.made_for = ("s7", document.step("s7").key)
    work.is_current = True
    work.changed.emit()
    assert strip.facts[1:4] == ("shell 266 cm³, 179 g", "core 34.0 cm³, 53 g", "both 300 cm³, 232 g")
    assert "PETG, 35 % filled" in strip.toolTip()
    document.edits.select("s6")
    assert strip.facts[:2] == (size, "312 cm³")
    assert strip.facts[2] == "finished hold 232 g"
    assert "core 34" not in strip.accessibleDescription()
    strip.set_unit("inch")
    assert strip.facts[1] == "19.0 in³"
    document.edits.edit("s1", {"unit": "mm"})
    assert "out of date" in strip.accessibleDescription()


def test_the_sheet_lies_over_the_window_until_escape(qtbot, bar):
    sheet = HelpPage(bar.window(), [("Ctrl+Z", "Undo")])
    sheet.open()
    assert sheet.isVisible()
    assert sheet.rect() == bar.rect()
    words = " ".join(label.text() for label in sheet.findChildren(type(bar._state)))
    assert all(caution in words for caution in CAUTIONS)
    assert "Ctrl+Z" in words
    with qtbot.waitSignal(sheet.closed):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert not sheet.isVisible()


def test_every_icon_is_drawn_in_the_colour_asked_for(qapp):
    names = [path.stem for path in (resource_folder() / "icons").glob("*.svg")]
    assert len(names) > 5
    for name in names:
        image = QImage(32, 32, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        paint_icon(painter, name, "#7A2E4D", QRectF(0, 0, 32, 32))
        painter.end()
        colours = {
            image.pixelColor(x, y).name()
            for x in range(image.width())
            for y in range(image.height())
            if image.pixelColor(x, y).alpha() == 255
        }
        assert colours == {QColor("#7A2E4D").name()}, name


def test_the_icons_licence_lies_beside_them():
    assert "MIT License" in Path(resource_folder() / "icons" / "LICENSE").read_text("utf-8")
