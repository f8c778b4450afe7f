"""Editors of a form by kind: shares, rows of tables, positions, picks, pieces, switches, the file's unit."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from gui.form.fields import box, type_in, value
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.gui.form.editor_factory import EditorFactory
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import describe
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.views.display_results import ShownSculpt, Surface


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


def test_a_switch_is_clicked(qtbot, document, open_form):
    document.edits.edit("s2", {"by": "points"})
    form = open_form("orient")
    switch = form.fields["flip"].editor.keyboard_widget()
    qtbot.mouseClick(switch, Qt.MouseButton.LeftButton, pos=QPoint(6, switch.height() // 2))
    assert value(document, "s2", "flip") is True


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
