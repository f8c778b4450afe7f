"""Forms, worked with real keys and clicks."""

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.gui.form.editor_factory import EditorFactory
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.form import MAIN
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import describe
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.views.display_results import ShownSculpt, Surface


def box(form, name: str) -> FigureBox:
    return form.fields[name].editor.keyboard_widget()


def value(document, step_id: str, name: str):
    return getattr(document.recipe.step(step_id).parameters, name)


def type_in(qtbot, widget, text: str, key=Qt.Key.Key_Return) -> None:
    widget.setFocus()
    widget.selectAll()
    qtbot.keyClicks(widget, text)
    qtbot.keyClick(widget, key)


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


def test_a_share_is_slid_as_one_change(qtbot, document, open_form):
    form = open_form("trim")
    slider = form.fields["share"].editor.slider
    knob = QPoint(round(slider.width() * 0.6), slider.height() // 2)
    QTest.mousePress(slider, Qt.MouseButton.LeftButton, pos=knob)
    for share in (0.65, 0.7, 0.8):
        QTest.mouseMove(slider, QPoint(round(slider.width() * share), knob.y()))
    QTest.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=QPoint(round(slider.width() * 0.8), knob.y()))
    share = value(document, "s4", "share")
    assert 0.7 < share < 0.9
    assert box(form, "share").text() == f"{share:.0%}".replace("%", " %")
    document.edits.undo()
    assert value(document, "s4", "share") == 0.6
    assert slider.value() == 60


def test_rows_come_from_the_catalogue_and_none_is_a_row(qtbot, document, open_form):
    form = open_form("bore")
    washer = form.fields["washer"].editor.keyboard_widget()
    texts = [washer.itemText(row) for row in range(washer.count())]
    assert texts[0] == "none"
    assert "M12 large washer ISO 7093" in texts
    assert "Source:" in washer.toolTip()
    washer.setFocus()
    qtbot.keyClick(washer, Qt.Key.Key_Home)
    assert value(document, "s6", "washer") is None
    document.edits.undo()
    assert washer.currentText() == "M10 large washer ISO 7093"
    document.edits.edit("s6", {"washer": "M10 washer of our own"})
    assert washer.currentText() == "M10 washer of our own"


@pytest.mark.parametrize(
    ("operation", "field"),
    [
        pytest.param(operation, field, id=f"{operation.name}-{field.name}")
        for operation in OPERATIONS
        for field in describe(operation.parameters)
        if field.rows
    ],
)
def test_every_table_field_offers_every_row_of_its_table(qtbot, document, operation, field):
    catalogue = load_catalogue()
    names = set(catalogue.names(field.rows))
    assert len(names) > 1
    parent = QWidget()
    qtbot.addWidget(parent)
    editor = EditorFactory(operation.name, catalogue, "mm", document).editor(field, parent)
    for name in sorted(names):
        editor.show_value(name)
        listed = editor.keyboard_widget()
        assert name in listed.toolTip(), "known rows must not be said to be missing from the tables"
        assert listed.currentText() == name
    texts = {listed.itemText(row) for row in range(listed.count())} - {""}
    assert texts == names | ({"none"} if field.optional else set())


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


def test_a_position_is_two_figures(qtbot, document, open_form):
    document.edits.edit("s6", {"place": "at"})
    form = open_form("bore")
    type_in(qtbot, form.fields["at"].editor.boxes[1], "-12,5")
    assert value(document, "s6", "at") == (0.0, -12.5)


def test_picks_are_listed_taken_out_and_asked_for(qtbot, document, open_form):
    picks = [PointPick(point=(float(number), 0.0, 5.0)) for number in range(3)]
    document.edits.edit("s5", {"tips": "both", "picks": [each.model_dump() for each in picks]})
    form = open_form("tips")
    editor = form.fields["picks"].editor
    with qtbot.waitSignal(form.pick_requested) as asked:
        qtbot.mouseClick(editor.keyboard_widget(), Qt.MouseButton.LeftButton)
    assert asked.args == ["s5", "picks"]
    qtbot.mouseClick(editor.out_buttons[1], Qt.MouseButton.LeftButton)
    assert [pick.point[0] for pick in value(document, "s5", "picks")] == [0.0, 2.0]
    document.edits.undo()
    assert len(editor.out_buttons) == 3
    qtbot.waitUntil(editor.out_buttons[1].isVisible)
    editor.out_buttons[1].setFocus()
    qtbot.keyClick(editor.out_buttons[1], Qt.Key.Key_Tab)
    qtbot.keyClick(editor.out_buttons[2], Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is editor.keyboard_widget()


def test_one_pick_is_taken_out(qtbot, document, open_form):
    face = PointPick(point=(1.0, 2.0, 3.0)).model_dump()
    document.edits.edit("s2", {"by": "face", "face": face})
    form = open_form("orient")
    qtbot.mouseClick(form.fields["face"].editor.out_buttons[0], Qt.MouseButton.LeftButton)
    assert value(document, "s2", "face") is None


def test_pieces_are_ticked_to_be_left_out(qtbot, document, runner, open_form):
    form = open_form("import")
    runner.read("clay", "fleece_1", "fleece_2", "fleece_3")
    listed = form.fields["leave_out"].editor.keyboard_widget()
    listed.setFocus()
    listed.setCurrentRow(0)
    qtbot.keyClick(listed, Qt.Key.Key_Space)
    assert value(document, "s1", "leave_out") == ("clay",)
    typed = form.fields["leave_out"].editor.typed_line
    typed.setFocus()
    qtbot.keyClicks(typed, "fleece_*")
    qtbot.keyClick(typed, Qt.Key.Key_Return)
    assert all(listed.item(row).checkState() == Qt.CheckState.Checked for row in range(4))
    listed.setFocus()
    listed.setCurrentRow(2)
    qtbot.keyClick(listed, Qt.Key.Key_Space)
    assert value(document, "s1", "leave_out") == ("clay", "fleece_1", "fleece_3")
    document.edits.undo()
    assert value(document, "s1", "leave_out") == ("clay", "fleece_*")


def test_a_name_that_fits_no_piece_is_shown_and_can_be_taken_back(qtbot, document, runner, open_form):
    document.edits.edit("s1", {"leave_out": ["old_*"]})
    form = open_form("import")
    runner.read("clay")
    listed = form.fields["leave_out"].editor.keyboard_widget()
    assert [listed.item(row).text() for row in range(listed.count())] == ["clay", "old_*"]
    listed.setFocus()
    listed.setCurrentRow(1)
    qtbot.keyClick(listed, Qt.Key.Key_Space)
    assert value(document, "s1", "leave_out") == ()


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


def test_a_switch_is_clicked(qtbot, document, open_form):
    document.edits.edit("s2", {"by": "points"})
    form = open_form("orient")
    switch = form.fields["flip"].editor.keyboard_widget()
    qtbot.mouseClick(switch, Qt.MouseButton.LeftButton, pos=QPoint(6, switch.height() // 2))
    assert value(document, "s2", "flip") is True


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


def test_the_files_own_unit_is_offered(qtbot, document, runner, open_form):
    form = open_form("import")
    editor = form.fields["unit"].editor
    assert not editor.use_button.isVisible()
    plate = Surface(np.eye(3, dtype=np.float32) * 0.12, np.array([[0, 1, 2]], dtype=np.int32))
    runner.sent.emit(len(runner.jobs), ShownSculpt((("plate", plate),), "digest", (), "m"))
    assert editor.words.text() == "The file says m, which makes it 120 mm across"
    assert open_form("import", "inch").fields["unit"].editor.words.text().endswith("4.72 in across")
    assert value(document, "s1", "unit") == "by envelope", "nothing is set by itself"
    qtbot.mouseClick(editor.use_button, Qt.MouseButton.LeftButton)
    assert value(document, "s1", "unit") == "as the file says"
    assert not editor.use_button.isVisible()


@pytest.mark.parametrize("typed", ["", "7"])
def test_a_field_leaves_the_key_of_export_to_the_window(qtbot, open_form, typed):
    box = open_form("trim").fields["rim"].editor.keyboard_widget()
    box.setFocus()
    qtbot.keyClicks(box, typed)
    asked = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    asked.ignore()
    QApplication.sendEvent(box, asked)
    assert not asked.isAccepted()


def test_the_washer_follows_its_bolt_in_one_change(qtbot, document, open_form):
    form, before = open_form("bore"), document.recipe
    bolts = form.fields["screw"].editor

    def choose(name: str) -> str | None:
        bolts.requested.emit(name)
        return value(document, "s6", "washer")

    assert choose("M12 socket cap ISO 4762") == "M12 large washer ISO 7093"
    assert form.fields["washer"].editor.keyboard_widget().currentText() == "M12 large washer ISO 7093"
    document.edits.undo()
    assert document.recipe == before
    assert choose("M10 countersunk socket ISO 10642") is None, "a countersunk head takes no washer"
    assert choose("M12 socket cap ISO 4762") == "M12 large washer ISO 7093", "it was only laid aside"
    form.fields["washer"].editor.requested.emit(None)
    assert choose("M10 hex ISO 4017") is None, "none that was wanted stays none"
