"""Clicks in the view: on what lies there, in the frame the recipe wants."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt

from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.missing_input import awaited
from holdwright.gui.document.piece_model import Pieces


def _values(hand, operation):
    return next(step.parameters for step in hand.document.recipe.steps if step.operation == operation)


def test_a_face_clicked_on_the_turned_hold_is_the_back(hand, edits):
    work = hand.take("orient_to_base", "back")
    before = edits()
    spot = hand.pixel((5.0, -8.0, 0.0))
    hand.point(spot)
    assert f"{work.bench.step_id}/area" in hand.ghosts()
    hand.click(spot)
    values = _values(hand, "orient_to_base")
    assert values.by == "face"
    assert edits() == before + 1
    # The pick is in the frame of the hold as it enters the step; brought over, it is where the pointer was.
    place = move_points(work.bench.frames.from_entering, np.array(values.face.point))
    assert place == pytest.approx([5.0, -8.0, 0.0], abs=2 * hand.view.lens.mm_per_pixel(place))
    hand.settled()
    made = hand.document.step(work.bench.step_id)
    assert made.result.startswith("picked face")
    assert made.findings == ()
    # It was the back before, so nothing turns.
    shown = work.bench.frames.from_entering[:3, :3] / np.cbrt(
        np.linalg.det(work.bench.frames.from_entering[:3, :3])
    )
    assert shown[2] @ [0.0, 1.0, 0.0] == pytest.approx(1.0, abs=1e-3)


def test_three_points_make_a_back_when_the_third_is_there(hand, edits):
    work = hand.take("orient_to_base")
    step = work.bench.step_id
    hand.document.edits.edit(step, {"by": "points"})
    hand.settled()
    assert "three places" in awaited(hand.document.recipe.step(step))
    assert hand.document.failure == ""
    hand.view.set_view("back")  # it stays as it was turned
    before = edits()
    for x, y in ((-30.0, -20.0), (30.0, -20.0), (0.0, 30.0)):
        assert edits() == before
        hand.click(hand.pixel((x, y, 0.0)))
    assert edits() == before + 1
    hand.settled()
    assert hand.document.step(step).result == "through three points"


def test_a_tip_is_left_out_and_taken_in_again(hand, edits):
    work = hand.take("chamfer_tips", "three_quarter")
    step, before = work.bench.step_id, edits()
    assert [mark.kind for mark in work.state.marks] == ["cut"]
    hand.click(hand.pixel(work.state.marks[0].place))
    assert len(_values(hand, "chamfer_tips").leave_out) == 1
    assert [mark.kind for mark in work.state.marks] == ["left"]
    assert f"{step}/0-hollow" in hand.ghosts()
    hand.settled()
    assert hand.document.step(step).result == "0 of 1 tip cut"
    hand.click(hand.pixel(work.state.marks[0].place))
    assert _values(hand, "chamfer_tips").leave_out == ()
    hand.settled()
    assert hand.document.step(step).result == "1 of 1 tip cut"
    assert edits() == before + 2


def test_a_tip_is_added_with_shift(hand, edits):
    work = hand.take("chamfer_tips")
    before = edits()
    hand.click(hand.pixel((-24.0, 20.0, 52.0)), Qt.KeyboardModifier.ShiftModifier)
    values = _values(hand, "chamfer_tips")
    assert values.tips == "both"
    assert len(values.picks) == 1
    assert edits() == before + 1
    pick = np.array(values.picks[0].point)
    assert pick[:2] == pytest.approx([-24.0, 20.0], abs=4 * hand.view.lens.mm_per_pixel(pick))
    assert work.state.marks


def nub_in_view(hand, work):
    """Give the pixel at which the nub is seen, from above."""
    return hand.pixel((work.bench.frames.shown.placement @ np.array([-24.0, 40.0, -20.0, 1.0]))[:3])


def test_a_piece_is_pointed_at_chosen_and_left_out_by_key(hand, edits):
    work = hand.take("import_sculpt", "top")
    before = edits()
    spot = nub_in_view(hand, work)
    hand.point(spot)
    assert work.under == hand.document.pieces.pointed == "nub"
    assert "nub" in hand.view.overlay.labels[f"{work.bench.step_id}/pointed"].text
    hand.click(spot)
    assert hand.document.pieces.chosen == "nub"
    assert edits() == before, "to choose changes nothing"
    hand.view.setFocus()
    hand.qtbot.keyClick(hand.canvas, Qt.Key.Key_Delete)
    assert _values(hand, "import_sculpt").leave_out == ("nub",)
    hand.settled()
    assert hand.document.step(work.bench.step_id).result == "1 piece fused, 1 left out"
    assert f"{work.bench.step_id}/left" in hand.ghosts()
    hand.view.fit()
    hand.point(hand.view.rect().topLeft())
    hand.point(nub_in_view(hand, work))
    assert work.under == "nub", "its ghost is met as the piece was"
    hand.qtbot.keyClick(hand.canvas, Qt.Key.Key_Delete)
    assert _values(hand, "import_sculpt").leave_out == ()
    assert edits() == before + 2
    hand.click(nub_in_view(hand, work))
    assert hand.document.pieces.chosen == ""


def test_what_was_made_anew_is_tinted_and_overlaps_are_marked(hand, monkeypatch):
    made = [
        replace(each, grade="rebuilt", doubled=0.02, done=("3.0% of it made anew on a grid",))
        if each.name == "nub"
        else each
        for each in hand.document.pieces.accounts
    ]
    monkeypatch.setattr(Pieces, "accounts", tuple(made))
    work = hand.take("import_sculpt", "top")
    step = work.bench.step_id
    assert {f"{step}/rebuilt", f"{step}/overlaps-knob"} <= hand.ghosts()
    hand.point(hand.view.rect().topLeft())
    hand.point(nub_in_view(hand, work))
    assert "rebuilt: 3.0% of it made anew" in hand.view.overlay.labels[f"{step}/pointed"].text
    assert f"{step}/open" not in hand.ghosts(), "nothing is open"


def test_a_field_may_ask_for_a_place(hand, edits):
    hand.take("chamfer_tips")
    before = edits()
    hand.view.tool.pick_for("picks")
    hand.click(hand.pixel((-24.0, 20.0, 52.0)))
    assert len(_values(hand, "chamfer_tips").picks) == 1
    hand.click(hand.pixel((0.0, 0.0, 45.0)))
    assert edits() == before + 1, "one place was asked for"


def test_a_double_click_is_one_click(hand):
    from PySide6.QtTest import QTest

    spot = nub_in_view(hand, hand.take("import_sculpt", "top"))
    hand.click(spot)
    QTest.mouseDClick(hand.canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    hand.release(spot)
    assert hand.document.pieces.chosen == "nub", "two clicks would choose it and let it go again"
    hand.document.pieces.choose("")
