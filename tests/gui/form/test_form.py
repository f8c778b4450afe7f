"""Forms, worked with real keys and clicks."""

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QMenu

from gui.form.fields import box, type_in, value
from holdwright.gui.form.form import MAIN


def test_a_typed_length_is_one_change_and_undo_shows_it_taken_back(qtbot, document, open_form):
    form = open_form("trim")
    rim = box(form, "rim")
    type_in(qtbot, rim, "4.5")
    assert value(document, "s4", "rim") == 4.5
    assert rim.text() == "4.5 mm"
    assert document.undo_text == "rim 3 -> 4.5 mm"
    changes: list[None] = []
    document.recipe_changed.connect(lambda: changes.append(None))
    document.edits.undo()
    assert rim.text() == "3 mm"
    assert len(changes) == 1, "showing a value must not change the recipe"
    assert rim.hasFocus()
    assert document.redo_text == "rim 3 -> 4.5 mm"


def test_leaving_a_field_takes_what_was_typed_and_escape_gives_it_up(qtbot, document, open_form):
    form = open_form("trim")
    type_in(qtbot, box(form, "rim"), "6", Qt.Key.Key_Tab)
    assert value(document, "s4", "rim") == 6.0
    type_in(qtbot, box(form, "rim"), "9", Qt.Key.Key_Escape)
    assert box(form, "rim").text() == "6 mm"
    box(form, "share").setFocus()
    assert value(document, "s4", "rim") == 6.0


def test_stepping_is_one_undo_entry_and_stops_at_the_limit(qtbot, document, open_form):
    form = open_form("trim")
    rim = box(form, "rim")
    rim.setFocus()
    for _ in range(4):
        qtbot.keyClick(rim, Qt.Key.Key_Up)
    assert value(document, "s4", "rim") == 5.0
    box(form, "share").setFocus()
    for _ in range(2):
        qtbot.keyClick(rim, Qt.Key.Key_PageDown)
    assert value(document, "s4", "rim") == 0.0
    document.edits.undo()
    assert value(document, "s4", "rim") == 5.0
    document.edits.undo()
    assert value(document, "s4", "rim") == 3.0
    assert document.undo_text == ""


def test_the_hand_lets_go_by_itself_after_a_while(qtbot, document, open_form):
    rim = box(open_form("trim"), "rim")
    rim.setFocus()
    with qtbot.waitSignal(rim.settled):
        qtbot.keyClick(rim, Qt.Key.Key_Up)
    qtbot.keyClick(rim, Qt.Key.Key_Up)
    document.edits.undo()
    assert value(document, "s4", "rim") == 3.5


@pytest.mark.parametrize(
    ("step", "name", "typed", "words"),
    [
        ("trim", "rim", "3000", "Rim may be from 0 to 100 mm; 3000 mm was entered."),
        ("trim", "rim", "-1", "Rim may be from 0 to 100 mm; -1 mm was entered."),
        ("trim", "rim", "wide", '"wide" is not a number; enter for example 3 mm.'),
        ("scale", "diameter", "0", "Circle diameter may be more than 0, up to 5000 mm; 0 mm was entered."),
        ("orient", "rank", "1.5", "Which back is a whole number; 1.5 was entered."),
        ("orient", "turn", "400", "Turn may be from -360 to 360°; 400° was entered."),
    ],
)
def test_a_value_that_makes_no_sense_is_refused_in_words(
    qtbot, document, open_form, step, name, typed, words
):
    form = open_form(step)
    before = document.recipe
    failures: list[str] = []
    document.failed.connect(failures.append)
    text = box(form, name).text()
    type_in(qtbot, box(form, name), typed)
    assert form.fields[name].refusal.text() == words
    assert box(form, name).text() == text
    assert document.recipe == before
    assert failures == [], "the field says it; nobody else need"


def test_a_refusal_goes_once_a_value_is_taken(qtbot, open_form):
    form = open_form("trim")
    type_in(qtbot, box(form, "rim"), "3000")
    type_in(qtbot, box(form, "rim"), "7")
    assert form.fields["rim"].refusal.text() == ""


def test_inches_are_shown_and_typed_and_leaving_changes_nothing(qtbot, document, open_form):
    form = open_form("scale", "inch")
    diameter = box(form, "diameter")
    assert diameter.text() == "4.724 in"
    diameter.setFocus()
    qtbot.keyClick(diameter, Qt.Key.Key_Return)
    assert value(document, "s3", "diameter") == 120.0, "what is shown rounded must not be written back"
    type_in(qtbot, diameter, "5")
    # 25.4 mm to the inch exactly: the international agreement of 1959.
    assert value(document, "s3", "diameter") == pytest.approx(127.0)
    type_in(qtbot, diameter, "130 mm")
    assert value(document, "s3", "diameter") == 130.0
    assert diameter.text() == "5.118 in"


def test_fields_appear_where_they_matter(qtbot, document, open_form):
    form = open_form("trim")
    assert not form.fields["share"].isVisible()
    assert not form.fields["height"].isVisible()
    words = form.fields["by"].editor
    words.keyboard_widget().setFocus()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Right)
    assert value(document, "s4", "by") == "one outline"
    assert form.fields["share"].isVisible()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Right)
    assert value(document, "s4", "by") == "height"
    assert form.fields["height"].isVisible()
    assert not form.fields["share"].isVisible()
    document.edits.undo()
    assert form.fields["share"].isVisible()


def test_lesser_fields_stand_beneath_more(qtbot, document, open_form):
    form = open_form("trim")
    assert "allowance" not in form.fields, "a field nobody looks at is not made"
    with qtbot.waitSignal(form.more_shown):
        qtbot.mouseClick(form.more_button, Qt.MouseButton.LeftButton)
    assert form.fields["allowance"].isVisible()
    form.more_button.setFocus()
    qtbot.keyClick(form.more_button, Qt.Key.Key_Tab)
    first = form.fields[next(name for name in form.fields if name not in MAIN["trim_base"])]
    assert first.isAncestorOf(QApplication.focusWidget()), "the keyboard walks from top to bottom"
    type_in(qtbot, box(form, "allowance"), "1")
    qtbot.mouseClick(form.more_button, Qt.MouseButton.LeftButton)
    assert form.more_button.text() == "More (1 changed)"


def test_scrolling_past_changes_nothing(qtbot, document, open_form):
    form = open_form("bore")
    before = document.recipe
    for name in ("screw", "under_seat"):
        widget = form.fields[name].editor.keyboard_widget()
        place = QPointF(widget.rect().center())
        wheel = QWheelEvent(
            place,
            widget.mapToGlobal(place),
            QPoint(),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        form.setFocus()
        QApplication.sendEvent(widget, wheel)
    assert document.recipe == before


def test_a_value_goes_back_to_its_default_by_the_menu(qtbot, document, open_form):
    form = open_form("trim")
    type_in(qtbot, box(form, "rim"), "8")
    assert form.fields["rim"].is_changed
    assert "the default is 3 mm" in box(form, "rim").accessibleDescription()
    rim = box(form, "rim")
    where = rim.rect().center()
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, where, rim.mapToGlobal(where))
    QApplication.sendEvent(rim, event)
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    back = next(action for action in menu.actions() if action.text() == "Back to 3 mm")
    back.trigger()
    menu.close()
    assert value(document, "s4", "rim") == 3.0
    assert not form.fields["rim"].is_changed


@pytest.mark.parametrize("name", ["import", "orient", "scale", "trim", "tips", "bore", "split"])
def test_every_field_tells_its_name_and_use_and_is_reached_by_tab(qtbot, document, open_form, name):
    form = open_form(name, open_more=True)
    next(iter(form.fields.values())).editor.keyboard_widget().setFocus()
    reached: list[object] = []
    for _ in range(40):
        reached.append(QApplication.focusWidget())
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    for field in form.fields.values():
        widget = field.editor.keyboard_widget()
        assert field.description.title in widget.accessibleName()
        assert field.description.description in widget.accessibleDescription()
        assert field.description.description in field.toolTip()
        if field.isVisible():
            assert any(each is widget or field.isAncestorOf(each) for each in reached), field.description.name


def test_a_step_taken_out_leaves_its_form_harmless(qtbot, document, open_form):
    form = open_form("tips")
    width = box(form, "width")
    width.setFocus()
    width.selectAll()
    qtbot.keyClicks(width, "9")
    document.edits.remove_step("s5")
    failures: list[str] = []
    document.failed.connect(failures.append)
    qtbot.keyClick(width, Qt.Key.Key_Return)
    assert failures == []


def test_undo_is_left_to_the_recipe_unless_a_text_is_typed(qtbot, document, open_form):
    from PySide6.QtGui import QKeySequence, QShortcut

    form = open_form("trim")
    undo = QShortcut(QKeySequence.StandardKey.Undo, form)
    undo.activated.connect(document.edits.undo)
    rim = box(form, "rim")
    type_in(qtbot, rim, "8")
    qtbot.keyClick(rim, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert value(document, "s4", "rim") == 3.0
    assert rim.text() == "3 mm"


@pytest.mark.parametrize("typed", ["", "7"])
def test_a_field_leaves_the_key_of_export_to_the_window(qtbot, open_form, typed):
    box = open_form("trim").fields["rim"].editor.keyboard_widget()
    box.setFocus()
    qtbot.keyClicks(box, typed)
    asked = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    asked.ignore()
    QApplication.sendEvent(box, asked)
    assert not asked.isAccepted()
