"""The screw hole's handles, worked with a real pointer."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from holdwright.geometry.mesh.frame import lean


@pytest.fixture
def screw(hand):
    """The work on a screw hole added to the stump, and its step."""
    hand.document.edits.add_step("cut_screw_hole")
    hand.settled()
    work = hand.take("cut_screw_hole", "three_quarter")
    return work, work.bench.step_id


def _values(hand, step_id):
    return hand.document.recipe.step(step_id).parameters


def _made(hand, step_id):
    return hand.document.step(step_id).features[-1]


def test_the_screw_is_found_and_goes_where_its_ring_is_put(hand, edits, screw):
    work, step_id = screw
    made, before = _made(hand, step_id), edits()
    assert (work.state.x, work.state.y) == (made.x, made.y)
    assert {f"{step_id}/cutter", f"{step_id}/axis"} <= hand.ghosts()
    hand.view.set_view("front")
    knob = hand.grip("place-knob")
    hand.drag(hand.pixel(knob), hand.pixel(knob, (-3.0, 4.0, 0.0)))
    values = _values(hand, step_id)
    assert values.place == "at"
    assert values.at == pytest.approx((made.x - 3.0, made.y + 4.0), abs=0.6)
    assert edits() == before + 1
    told = work.state.holes[0].under
    hand.settled()
    # What was told while dragging is what the step then found.
    assert _made(hand, step_id).thickness_under_head == pytest.approx(told, abs=0.1)
    assert not hand.document.failure


def test_the_screw_leans_by_the_end_of_its_axis(hand, edits, screw):
    _, step_id = screw
    made, before = _made(hand, step_id), edits()
    hand.view.set_view("right")
    end = hand.grip("lean")
    foot = np.array([made.x, made.y, 0.0])
    hand.drag(hand.pixel(end), hand.pixel(end, (0.0, -12.0, 0.0)))
    values = _values(hand, step_id)
    wanted = np.degrees(np.arctan2(12.0, end[2]))
    assert values.tilt == pytest.approx(wanted, abs=2.0)
    assert values.toward == pytest.approx(-90.0, abs=3.0)
    assert values.at == pytest.approx((made.x, made.y), abs=0.01)
    assert edits() == before + 1
    hand.settled()
    leaning = _made(hand, step_id)
    assert np.allclose(leaning.axis, lean(values.tilt, values.toward))
    assert (leaning.x, leaning.y) == pytest.approx(tuple(foot[:2]), abs=0.01)
    # Drawn back to nearly upright it stands upright.
    end = hand.grip("lean")
    hand.drag(hand.pixel(end), hand.pixel(foot + np.array([0.0, 0.1, end[2]])))
    assert _values(hand, step_id).tilt == 0.0


def test_a_place_clicked_with_shift_takes_the_head(hand, edits, screw):
    _, step_id = screw
    hand.document.edits.edit(step_id, {"tilt": 15.0, "toward": 0.0})
    hand.settled()
    hand.view.set_view("front")
    spot, before = hand.pixel(np.array([-5.0, -22.0, 40.0])), edits()
    place = hand.view.pick(spot.x(), spot.y()).point
    hand.click(spot, Qt.KeyboardModifier.ShiftModifier)
    assert edits() == before + 1
    hand.settled()
    made = _made(hand, step_id)
    on_axis = np.array([made.x, made.y, 0.0]) + np.array(made.axis) * (place[2] / made.axis[2])
    assert on_axis == pytest.approx(place, abs=0.05)


def test_arrow_keys_nudge_the_screw_and_count_as_one_edit(hand, edits, screw):
    work, step_id = screw
    hand.view.set_view("front")
    shape, before = work.state, edits()
    hand.canvas.setFocus()
    QTest.keyClick(hand.canvas, Qt.Key.Key_Left)
    QTest.keyClick(hand.canvas, Qt.Key.Key_Left)
    QTest.keyClick(hand.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    at = _values(hand, step_id).at
    assert at == pytest.approx((shape.x - 2.0, shape.y + 0.1))
    assert edits() == before + 1


def test_collars_are_widened_by_their_ring(hand, edits, screw):
    work = hand.take("split_core")
    assert len(work.state.cones) == 1, "a collar is no core"
    (collar,) = work.state.collars.collars
    assert collar.diameter == pytest.approx(15.6)
    knob, before = hand.grip("collar 0"), edits()
    foot = np.array([collar.x, collar.y, 0.0])
    hand.drag(hand.pixel(knob), hand.pixel(foot + (knob - foot) * 1.5))
    wanted = _values(hand, work.bench.step_id).collar_diameter
    assert wanted == pytest.approx(1.5 * 15.6, abs=1.5)
    assert edits() == before + 1
    hand.settled()
    (made,) = [each for each in hand.document.step(work.bench.step_id).features if each.kind == "collar"]
    assert made.diameter == pytest.approx(wanted)
    # Never narrower than the head.
    knob = hand.grip("collar 0")
    hand.drag(hand.pixel(knob), hand.pixel(foot + (knob - foot) * 0.1))
    assert _values(hand, work.bench.step_id).collar_diameter == pytest.approx(10.4)
