"""The screw hole's handles, worked with a real pointer."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from holdwright.geometry.mesh.frame import lean
from holdwright.hold.feature import Collar


@pytest.fixture
def screw(pointer):
    """The handles of a screw hole added to the stump, and its step."""
    pointer.document.edits.add_step("cut_screw_hole")
    pointer.settled()
    handles = pointer.take("cut_screw_hole", "three_quarter")
    return handles, handles.step_id


def _values(pointer, step_id):
    return pointer.document.recipe.step(step_id).parameters


def _made(pointer, step_id):
    return pointer.document.step(step_id).features[-1]


def test_the_screw_is_found_and_goes_where_its_ring_is_put(pointer, edits, screw):
    handles, step_id = screw
    made, before = _made(pointer, step_id), edits()
    assert (handles.state.x, handles.state.y) == (made.x, made.y)
    assert {f"{step_id}/cutter", f"{step_id}/axis"} <= pointer.ghosts()
    pointer.view.set_view("front")
    knob = pointer.grip("place-knob")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (-3.0, 4.0, 0.0)))
    values = _values(pointer, step_id)
    assert values.place == "at"
    assert values.at == pytest.approx((made.x - 3.0, made.y + 4.0), abs=0.6)
    assert edits() == before + 1
    told = handles.state.holes[0].under
    pointer.settled()
    # What was told while dragging is what the step then found.
    assert _made(pointer, step_id).thickness_under_head == pytest.approx(told, abs=0.1)
    assert not pointer.document.failure


def test_the_screw_leans_by_the_end_of_its_axis(pointer, edits, screw):
    _, step_id = screw
    made, before = _made(pointer, step_id), edits()
    pointer.view.set_view("right")
    end = pointer.grip("lean")
    foot = np.array([made.x, made.y, 0.0])
    pointer.drag(pointer.pixel(end), pointer.pixel(end, (0.0, -12.0, 0.0)))
    values = _values(pointer, step_id)
    wanted = np.degrees(np.arctan2(12.0, end[2]))
    assert values.tilt == pytest.approx(wanted, abs=2.0)
    assert values.toward == pytest.approx(-90.0, abs=3.0)
    assert values.at == pytest.approx((made.x, made.y), abs=0.01)
    assert edits() == before + 1
    pointer.settled()
    leaning = _made(pointer, step_id)
    assert np.allclose(leaning.axis, lean(values.tilt, values.toward))
    assert (leaning.x, leaning.y) == pytest.approx(tuple(foot[:2]), abs=0.01)
    # Drawn back to nearly upright it stands upright.
    end = pointer.grip("lean")
    pointer.drag(pointer.pixel(end), pointer.pixel(foot + np.array([0.0, 0.1, end[2]])))
    assert _values(pointer, step_id).tilt == 0.0


def test_a_place_clicked_with_shift_takes_the_head(pointer, edits, screw):
    _, step_id = screw
    pointer.document.edits.edit(step_id, {"tilt": 15.0, "toward": 0.0})
    pointer.settled()
    pointer.view.set_view("front")
    spot, before = pointer.pixel(np.array([-5.0, -22.0, 40.0])), edits()
    place = pointer.view.pick(spot.x(), spot.y()).point
    pointer.click(spot, Qt.KeyboardModifier.ShiftModifier)
    assert edits() == before + 1
    pointer.settled()
    made = _made(pointer, step_id)
    on_axis = np.array([made.x, made.y, 0.0]) + np.array(made.axis) * (place[2] / made.axis[2])
    assert on_axis == pytest.approx(place, abs=0.05)


def test_arrow_keys_nudge_the_screw_and_count_as_one_edit(pointer, edits, screw):
    handles, step_id = screw
    pointer.view.set_view("front")
    shape, before = handles.state, edits()
    pointer.canvas.setFocus()
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Left)
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Left)
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    at = _values(pointer, step_id).at
    assert at == pytest.approx((shape.x - 2.0, shape.y + 0.1))
    assert edits() == before + 1


def test_collars_are_widened_by_their_ring(pointer, edits, screw):
    handles = pointer.take("split_core")
    assert len(handles.state.cones) == 1, "a collar is no core"
    (collar,) = handles.state.collars.collars
    assert collar.diameter == pytest.approx(16.4)
    knob, before = pointer.grip("collar 0"), edits()
    foot = np.array([collar.x, collar.y, 0.0])
    pointer.drag(pointer.pixel(knob), pointer.pixel(foot + (knob - foot) * 1.5))
    wanted = _values(pointer, handles.step_id).collar_diameter
    assert wanted == pytest.approx(1.5 * 16.4, abs=1.5)
    assert edits() == before + 1
    pointer.settled()
    (made,) = [each for each in pointer.document.step(handles.step_id).features if isinstance(each, Collar)]
    assert made.diameter == pytest.approx(wanted)
    # Never narrower than the head.
    knob = pointer.grip("collar 0")
    pointer.drag(pointer.pixel(knob), pointer.pixel(foot + (knob - foot) * 0.1))
    assert _values(pointer, handles.step_id).collar_diameter == pytest.approx(10.4)
    # One that is cut away leaves no ring in the air.
    drawn = pointer.view.overlay
    assert any("collar" in name for name in drawn.names)
    pointer.view.set_section(foot - np.array([collar.diameter, 0.0, 0.0]), (1.0, 0.0, 0.0))
    assert not any("collar" in name for name in drawn.names)
    pointer.view.clear_section()
    assert any("collar" in name for name in drawn.names)
