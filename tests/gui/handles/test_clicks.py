"""Clicks in the view: on what lies there, in the frame the recipe wants."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt

from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.step_texts import missing_input


def _values(pointer, operation):
    return next(step.parameters for step in pointer.document.recipe.steps if step.operation == operation)


def test_a_face_clicked_on_the_turned_hold_is_the_back(pointer, edits):
    handles = pointer.take("orient_to_base", "back")
    before = edits()
    spot = pointer.pixel((5.0, -8.0, 0.0))
    pointer.point(spot)
    assert f"{handles.step_id}/area" in pointer.ghosts()
    pointer.click(spot)
    values = _values(pointer, "orient_to_base")
    assert values.by == "face"
    assert edits() == before + 1
    # The pick is in the frame of the hold as it enters the step; brought over, it is where the pointer was.
    place = move_points(handles.frames.from_entering, np.array(values.face.point))
    assert place == pytest.approx([5.0, -8.0, 0.0], abs=2 * pointer.view.lens.mm_per_pixel(place))
    pointer.settled()
    made = pointer.document.step(handles.step_id)
    assert made.result.startswith("picked face")
    assert made.findings == ()
    # It was the back before, so nothing turns.
    shown = handles.frames.from_entering[:3, :3] / np.cbrt(
        np.linalg.det(handles.frames.from_entering[:3, :3])
    )
    assert shown[2] @ [0.0, 1.0, 0.0] == pytest.approx(1.0, abs=1e-3)


def test_three_points_make_a_back_when_the_third_is_there(pointer, edits):
    handles = pointer.take("orient_to_base")
    step = handles.step_id
    pointer.document.edits.edit(step, {"by": "points"})
    pointer.settled()
    assert "three points" in missing_input(pointer.document.recipe.step(step))
    assert pointer.document.failure == ""
    pointer.view.set_view("back")  # it stays as it was turned
    before = edits()
    for x, y in ((-30.0, -20.0), (30.0, -20.0), (0.0, 30.0)):
        assert edits() == before
        pointer.click(pointer.pixel((x, y, 0.0)))
    assert edits() == before + 1
    pointer.settled()
    assert pointer.document.step(step).result == "through three points"


def test_a_tip_is_left_out_and_taken_in_again(pointer, edits):
    handles = pointer.take("chamfer_tips", "three_quarter")
    step, before = handles.step_id, edits()
    assert [mark.kind for mark in handles.state] == ["cut"]
    pointer.click(pointer.pixel(handles.state[0].place))
    assert len(_values(pointer, "chamfer_tips").leave_out) == 1
    assert [mark.kind for mark in handles.state] == ["left"]
    assert f"{step}/0-hollow" in pointer.ghosts()
    pointer.settled()
    assert pointer.document.step(step).result == "0 of 1 tip cut"
    pointer.click(pointer.pixel(handles.state[0].place))
    assert _values(pointer, "chamfer_tips").leave_out == ()
    pointer.settled()
    assert pointer.document.step(step).result == "1 of 1 tip cut"
    assert edits() == before + 2


def test_a_tip_is_added_with_shift(pointer, edits):
    handles = pointer.take("chamfer_tips")
    before = edits()
    pointer.click(pointer.pixel((-24.0, 20.0, 52.0)), Qt.KeyboardModifier.ShiftModifier)
    values = _values(pointer, "chamfer_tips")
    assert values.tips == "both"
    assert len(values.picks) == 1
    assert edits() == before + 1
    pick = np.array(values.picks[0].point)
    assert pick[:2] == pytest.approx([-24.0, 20.0], abs=4 * pointer.view.lens.mm_per_pixel(pick))
    assert handles.state


def nub_in_view(pointer, handles, height=40.0):
    """Give the pixel at which the nub, or a place so high on it, is seen."""
    return pointer.pixel((handles.frames.shown.placement @ np.array([-24.0, height, -20.0, 1.0]))[:3])


def test_a_piece_is_pointed_at_chosen_and_left_out_by_key(pointer, edits):
    handles = pointer.take("import_sculpt", "top")
    before = edits()
    spot = nub_in_view(pointer, handles)
    pointer.point(spot)
    assert pointer.document.pieces.pointed == "nub"
    assert "nub" in pointer.view.overlay.labels[f"{handles.step_id}/pointed"].text
    pointer.click(spot)
    assert pointer.document.pieces.chosen == "nub"
    assert edits() == before, "to choose changes nothing"
    pointer.view.setFocus()
    pointer.qtbot.keyClick(pointer.canvas, Qt.Key.Key_Delete)
    assert _values(pointer, "import_sculpt").leave_out == ("nub",)
    pointer.settled()
    assert pointer.document.step(handles.step_id).result == "1 piece fused, 1 left out"
    assert f"{handles.step_id}/left" in pointer.ghosts()
    pointer.view.fit()
    pointer.point(pointer.view.rect().topLeft())
    pointer.point(nub_in_view(pointer, handles))
    assert pointer.document.pieces.pointed == "stump", "its ghost takes nothing from what is behind it"
    pointer.view.set_view("front")
    pointer.point(nub_in_view(pointer, handles, 48.0))
    assert pointer.document.pieces.pointed == "nub", "where nothing is behind it, its ghost is hit"
    pointer.view.set_view("top")
    pointer.qtbot.keyClick(pointer.canvas, Qt.Key.Key_Delete)
    assert _values(pointer, "import_sculpt").leave_out == ()
    assert edits() == before + 2
    pointer.click(nub_in_view(pointer, handles))
    assert pointer.document.pieces.chosen == ""


def test_what_was_made_anew_is_tinted_and_overlaps_are_marked(pointer, monkeypatch):
    made = [
        replace(each, grade="rebuilt", doubled=0.02, done=("3.0% of it made anew on a grid",))
        if each.name == "nub"
        else each
        for each in pointer.document.pieces.accounts
    ]
    monkeypatch.setattr(pointer.document.pieces, "accounts", tuple(made))
    handles = pointer.take("import_sculpt", "top")
    step = handles.step_id
    assert {f"{step}/rebuilt", f"{step}/overlaps-mark"} <= pointer.ghosts()
    pointer.point(pointer.view.rect().topLeft())
    pointer.point(nub_in_view(pointer, handles))
    assert "rebuilt: 3.0% of it made anew" in pointer.view.overlay.labels[f"{step}/pointed"].text
    mark = pointer.view.overlay.labels[f"{step}/mended"]
    assert mark.text == "overlapped itself: made one"
    pointer.point(pointer.view.rect().topLeft())
    assert f"{step}/mended" not in pointer.ghosts()
    assert f"{step}/open" not in pointer.ghosts(), "nothing is open"


def test_a_field_may_ask_for_a_place(pointer, edits):
    pointer.take("chamfer_tips")
    before = edits()
    pointer.view.tool.pick_for("picks")
    pointer.click(pointer.pixel((-24.0, 20.0, 52.0)))
    assert len(_values(pointer, "chamfer_tips").picks) == 1
    pointer.click(pointer.pixel((0.0, 0.0, 45.0)))
    assert edits() == before + 1, "one place was asked for"


def test_a_double_click_is_one_click(pointer):
    from PySide6.QtTest import QTest

    spot = nub_in_view(pointer, pointer.take("import_sculpt", "top"))
    pointer.click(spot)
    QTest.mouseDClick(pointer.canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    pointer.release(spot)
    assert pointer.document.pieces.chosen == "nub", "two clicks would choose it and let it go again"
    pointer.document.pieces.choose("")
