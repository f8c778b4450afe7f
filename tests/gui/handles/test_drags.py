"""Drags in the view: each ends in one edit of the recipe, of the figure the pointer was at."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from holdwright.parameters.kinds import PointPick


def _values(pointer, operation):
    return next(step.parameters for step in pointer.document.recipe.steps if step.operation == operation)


def _pixel(pointer, place) -> float:
    """Give how many mm a pixel is at a place, to judge by."""
    return pointer.view.lens.mm_per_pixel(np.asarray(place, dtype=float))


def test_the_envelope_follows_its_circle(pointer, edits):
    handles = pointer.take("scale_to_envelope")
    knob = pointer.grip("circle-knob")
    assert np.hypot(*knob[:2]) == pytest.approx(60.0)
    before = edits()
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob * 80.0 / 60.0))
    wanted = _values(pointer, "scale_to_envelope").diameter
    assert wanted == round(wanted)
    assert wanted == pytest.approx(160.0, abs=1.0 + 2 * _pixel(pointer, knob))
    assert edits() == before + 1
    assert np.hypot(*pointer.grip("circle-knob")[:2]) == pytest.approx(wanted / 2)
    pointer.settled()
    assert f"circle {wanted:.1f} mm" in pointer.document.step(handles.step_id).result


def test_a_side_of_the_box_follows_the_hand(pointer, edits):
    handles = pointer.take("scale_to_envelope")
    pointer.document.edits.edit(handles.step_id, {"rule": "box", "box_y": 0.0})
    pointer.settled()
    before = edits()
    knob = pointer.grip("box_x+")
    assert knob[0] - pointer.grip("box_x-")[0] == pytest.approx(120.0)
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (-10.0, 0.0, 0.0)))
    assert _values(pointer, "scale_to_envelope").box_x == pytest.approx(
        100.0, abs=1.0 + 2 * _pixel(pointer, knob)
    )
    assert edits() == before + 1


def test_the_cut_follows_the_hand_and_is_made_there(pointer, edits):
    handles = pointer.take("trim_base", "right")
    knob, before, low = pointer.grip("cut"), edits(), handles.state.height
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, 9.0)))
    values = _values(pointer, "trim_base")
    assert values.by == "height"
    assert values.height == pytest.approx(low + 9.0, abs=0.1 + 2 * _pixel(pointer, knob))
    assert edits() == before + 1
    pointer.settled()
    result = pointer.document.step(handles.step_id).result
    assert f"cut {values.height:.1f} mm above the lowest point" in result
    # The outline at the cut lies where the rim of the hold now shown ends.
    assert pointer.grip("cut")[2] == pytest.approx(values.rim, abs=0.02)


def test_heights_that_were_weighed_are_marked_and_a_drag_near_one_takes_it(pointer):
    handles = pointer.take("trim_base", "right")
    labels = pointer.view.overlay.labels
    marked = [float(label.text.split()[1]) for name, label in labels.items() if "/mark-" in name]
    assert len(marked) == 2
    assert all(abs(mark - handles.state.height) > 1.0 for mark in marked)
    knob = pointer.grip("cut")
    way = marked[0] - handles.state.height + 0.3
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, way)))
    assert _values(pointer, "trim_base").height == pytest.approx(marked[0], abs=0.05)


def test_the_rim_is_drawn_out_by_its_own_knob(pointer, edits):
    pointer.take("trim_base", "right")
    knob, before = pointer.grip("rim"), edits()
    assert knob[2] == pytest.approx(0.0, abs=0.02)
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, -5.0)))
    values = _values(pointer, "trim_base")
    assert values.by == "found"
    assert values.rim == pytest.approx(8.0, abs=0.5 + 2 * _pixel(pointer, knob))
    assert edits() == before + 1


def test_the_bore_goes_where_its_ring_is_put(pointer, edits):
    handles = pointer.take("cut_bore")
    knob, before = pointer.grip("place-knob"), edits()
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (-7.0, 4.0, 0.0)))
    values = _values(pointer, "cut_bore")
    assert values.place == "at"
    near = 0.1 + 2 * _pixel(pointer, knob)
    assert values.at == pytest.approx((knob[0] - 7.0, knob[1] + 4.0), abs=near)
    assert edits() == before + 1
    told = pointer.view.overlay.labels[f"{handles.step_id}/thickness"].text
    pointer.settled()
    made = pointer.document.step(handles.step_id)
    # What was told while dragging is what the step then found.
    assert f"{float(told.split()[1]):.1f}" in (
        f"{made.features[-1].thickness_under_seat + shift:.1f}" for shift in (-0.1, 0.0, 0.1)
    )


def test_a_bore_dragged_off_the_back_stays_on_it(pointer):
    pointer.take("cut_bore")
    knob = pointer.grip("place-knob")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 90.0, 0.0)))
    x, y = _values(pointer, "cut_bore").at
    assert 40.0 < np.hypot(x, y) < 61.0
    pointer.settled()
    assert not pointer.document.failure


def test_the_seat_goes_deeper_along_the_axis(pointer, edits):
    handles = pointer.take("cut_bore", "right")
    seat, before = handles.state.holes[0].hole.seat, edits()
    knob = pointer.grip("seat")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, -6.0)))
    values = _values(pointer, "cut_bore")
    assert values.seat == "depth"
    assert edits() == before + 1
    assert handles.state.holes[0].hole.seat == pytest.approx(seat - 6.0, abs=0.5 + 2 * _pixel(pointer, knob))
    pointer.settled()
    bore = pointer.document.step(handles.step_id).features[-1]
    assert bore.seat_z == pytest.approx(handles.state.holes[0].hole.seat, abs=0.05)


def test_arrow_keys_nudge_the_bore_and_count_as_one_edit(pointer, edits):
    handles = pointer.take("cut_bore")
    shape, before = handles.state, edits()
    pointer.canvas.setFocus()
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Right)
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Right)
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert _values(pointer, "cut_bore").at == pytest.approx((shape.x + 2.0, shape.y + 0.1))
    assert edits() == before + 1


@pytest.mark.parametrize(("grip", "field"), [("wall 0", "wall_diameter"), ("top 0", "top_diameter")])
def test_a_core_is_widened_by_its_ring(pointer, edits, grip, field):
    handles = pointer.take("split_core")
    cone, before = handles.state.cones[0], edits()
    knob, name = pointer.grip(grip), grip.split()[0]
    foot = np.array([cone.x, cone.y, knob[2]])
    wider = foot + (knob - foot) * 1.2
    pointer.drag(pointer.pixel(knob), pointer.pixel(wider))
    size = 1.2 * (cone.wall if name == "wall" else cone.top)
    size = size if name == "wall" else min(size, cone.wall)
    wanted = getattr(_values(pointer, "split_core"), field)
    assert wanted == pytest.approx(size, abs=0.5 + 3 * _pixel(pointer, knob))
    assert edits() == before + 1
    pointer.settled()
    face = pointer.document.step(handles.step_id).features[-1]
    assert getattr(face, field) == pytest.approx(wanted, abs=0.01)


def test_the_turn_ring_clicks_in_at_whole_ticks(pointer, edits):
    handles = pointer.take("orient_to_base")
    knob, before = pointer.grip("turn"), edits()
    radius = np.hypot(*knob[:2])
    aim = np.radians(90.0 + 31.0)
    pointer.drag(pointer.pixel(knob), pointer.pixel([radius * np.cos(aim), radius * np.sin(aim), 0.0]))
    assert _values(pointer, "orient_to_base").turn == 30.0
    assert edits() == before + 1
    pointer.settled()
    assert pointer.document.is_current(handles.step_id)


def test_a_plane_is_picked_and_drawn_along_its_normal(pointer, edits):
    handles = pointer.take("orient_to_base")
    step = handles.step_id
    pointer.document.edits.edit(step, {"by": "plane"})
    pointer.settled()
    pointer.view.set_view("back")  # it stays as it was turned
    before = edits()
    spot = pointer.pixel((5.0, -8.0, 0.0))
    pointer.point(spot)
    pointer.press(spot)
    pointer.release(spot)
    plane = _values(pointer, "orient_to_base").plane
    assert plane.normal == pytest.approx((0.0, -1.0, 0.0), abs=1e-4)
    assert edits() == before + 1
    pointer.settled()
    assert pointer.document.step(step).result == "along the plane given"
    pointer.view.set_view("right")
    knob = pointer.grip("plane")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, -8.0)))
    moved = np.array(_values(pointer, "orient_to_base").plane.point) - plane.point
    shown = handles.frames.from_entering[:3, :3] @ moved
    assert shown == pytest.approx([0.0, 0.0, -8.0], abs=2 * _pixel(pointer, knob))
    assert edits() == before + 2


def test_a_plane_drawn_into_the_hold_is_where_the_back_is_cut(pointer):
    handles = pointer.take("orient_to_base")
    step = handles.step_id
    lying = PointPick(point=(0.0, 0.0, 0.0), normal=(0.0, -1.0, 0.0))
    pointer.document.edits.edit(step, {"by": "plane", "plane": lying})
    pointer.settled()
    trimmed = next(each.id for each in pointer.document.recipe.steps if each.operation == "trim_base")
    before = pointer.document.step(trimmed).measures.bounds_mm[1][2]
    pointer.view.set_view("right")
    knob = pointer.grip("plane")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 0.0, 9.0)), let_go=False)
    assert f"{step}/cut" in pointer.ghosts()
    pointer.release(pointer.pixel(knob, (0.0, 0.0, 9.0)))
    pointer.settled()
    shown = handles.frames.place(_values(pointer, "orient_to_base").plane)[0]
    assert shown[2] == pytest.approx(9.0, abs=2 * _pixel(pointer, knob))
    lost = before - pointer.document.step(trimmed).measures.bounds_mm[1][2]
    assert lost > 3.0, "the finished back lies on the plane"


def test_escape_gives_a_drag_up(pointer, edits):
    handles = pointer.take("cut_bore")
    knob, before, state = pointer.grip("place-knob"), edits(), handles.state
    stop = pointer.pixel(knob, (-9.0, 0.0, 0.0))
    pointer.drag(pointer.pixel(knob), stop, let_go=False)
    assert handles.state != state
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Escape)
    assert handles.state == state
    pointer.point(stop + QPoint(5, 5))
    pointer.release(stop)
    assert edits() == before
    assert handles.state == state


def test_ghosts_come_with_the_tool_and_go_with_it(pointer):
    for step in pointer.document.recipe.steps:
        pointer.document.edits.select(step.id)
        assert all(name.startswith(f"{step.id}/") for name in pointer.ghosts())
        assert pointer.ghosts() or step.operation == "import_sculpt"
    pointer.view.set_tool(None)
    assert pointer.ghosts() == set()


def test_a_step_that_is_skipped_has_no_handles(pointer, edits):
    handles = pointer.take("cut_bore")
    knob = pointer.grip("place-knob")
    pointer.document.edits.toggle_step(handles.step_id)
    assert pointer.ghosts() == set()
    before = edits()
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (9.0, 0.0, 0.0)))
    assert edits() == before
    pointer.document.edits.undo()
    pointer.settled()
    assert pointer.ghosts()


def test_a_press_beside_all_handles_is_the_cameras(pointer, edits):
    pointer.take("orient_to_base", "three_quarter")
    before, azimuth = edits(), pointer.view.pose.azimuth
    middle = QPoint(pointer.view.width() // 2, pointer.view.height() // 2)
    pointer.drag(middle, middle + QPoint(60, 0))
    assert pointer.view.pose.azimuth != pytest.approx(azimuth)
    assert edits() == before
