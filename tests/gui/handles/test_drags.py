"""Drags in the view: each ends in one edit of the recipe, of the figure the pointer was at."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from holdwright.parameters.kinds import PointPick


def _values(hand, operation):
    return next(step.parameters for step in hand.document.recipe.steps if step.operation == operation)


def _pixel(hand, place) -> float:
    """Give how many mm a pixel is at a place, to judge by."""
    return hand.view.lens.mm_per_pixel(np.asarray(place, dtype=float))


def test_the_envelope_follows_its_circle(hand, edits):
    work = hand.take("scale_to_envelope")
    knob = hand.grip("circle-knob")
    assert np.hypot(*knob[:2]) == pytest.approx(60.0)
    before = edits()
    hand.drag(hand.pixel(knob), hand.pixel(knob * 80.0 / 60.0))
    wanted = _values(hand, "scale_to_envelope").diameter
    assert wanted == round(wanted)
    assert wanted == pytest.approx(160.0, abs=1.0 + 2 * _pixel(hand, knob))
    assert edits() == before + 1
    assert np.hypot(*hand.grip("circle-knob")[:2]) == pytest.approx(wanted / 2)
    hand.settled()
    assert f"circle {wanted:.1f} mm" in hand.document.step(work.bench.step_id).result


def test_a_side_of_the_box_follows_the_hand(hand, edits):
    work = hand.take("scale_to_envelope")
    hand.document.edits.edit(work.bench.step_id, {"rule": "box", "box_y": 0.0})
    hand.settled()
    before = edits()
    knob = hand.grip("box_x+")
    assert knob[0] - hand.grip("box_x-")[0] == pytest.approx(120.0)
    hand.drag(hand.pixel(knob), hand.pixel(knob, (-10.0, 0.0, 0.0)))
    assert _values(hand, "scale_to_envelope").box_x == pytest.approx(100.0, abs=1.0 + 2 * _pixel(hand, knob))
    assert edits() == before + 1


def test_the_cut_follows_the_hand_and_is_made_there(hand, edits):
    work = hand.take("trim_base", "right")
    knob, before, low = hand.grip("cut"), edits(), work.state.height
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 0.0, 9.0)))
    values = _values(hand, "trim_base")
    assert values.by == "height"
    assert values.height == pytest.approx(low + 9.0, abs=0.1 + 2 * _pixel(hand, knob))
    assert edits() == before + 1
    hand.settled()
    result = hand.document.step(work.bench.step_id).result
    assert f"cut {values.height:.1f} mm above the lowest point" in result
    # The outline at the cut lies where the rim of the hold now shown ends.
    assert hand.grip("cut")[2] == pytest.approx(values.rim, abs=0.02)


def test_the_rim_is_drawn_out_by_its_own_knob(hand, edits):
    hand.take("trim_base", "right")
    knob, before = hand.grip("rim"), edits()
    assert knob[2] == pytest.approx(0.0, abs=0.02)
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 0.0, -5.0)))
    values = _values(hand, "trim_base")
    assert values.by == "found"
    assert values.rim == pytest.approx(8.0, abs=0.5 + 2 * _pixel(hand, knob))
    assert edits() == before + 1


def test_the_bore_goes_where_its_ring_is_put(hand, edits):
    work = hand.take("cut_bore")
    knob, before = hand.grip("place-knob"), edits()
    hand.drag(hand.pixel(knob), hand.pixel(knob, (-7.0, 4.0, 0.0)))
    values = _values(hand, "cut_bore")
    assert values.place == "at"
    near = 0.1 + 2 * _pixel(hand, knob)
    assert values.at == pytest.approx((knob[0] - 7.0, knob[1] + 4.0), abs=near)
    assert edits() == before + 1
    told = hand.view.overlay.labels[f"{work.bench.step_id}/thickness"].text
    hand.settled()
    made = hand.document.step(work.bench.step_id)
    # What was told while dragging is what the step then found.
    assert f"{float(told.split()[1]):.1f}" in (
        f"{made.features[-1].thickness_under_seat + shift:.1f}" for shift in (-0.1, 0.0, 0.1)
    )


def test_a_bore_dragged_off_the_back_stays_on_it(hand):
    hand.take("cut_bore")
    knob = hand.grip("place-knob")
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 90.0, 0.0)))
    x, y = _values(hand, "cut_bore").at
    assert 40.0 < np.hypot(x, y) < 61.0
    hand.settled()
    assert not hand.document.failure


def test_the_seat_goes_deeper_along_the_axis(hand, edits):
    work = hand.take("cut_bore", "right")
    seat, before = work.state.holes[0].hole.seat, edits()
    knob = hand.grip("seat")
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 0.0, -6.0)))
    values = _values(hand, "cut_bore")
    assert values.seat == "depth"
    assert edits() == before + 1
    assert work.state.holes[0].hole.seat == pytest.approx(seat - 6.0, abs=0.5 + 2 * _pixel(hand, knob))
    hand.settled()
    bore = hand.document.step(work.bench.step_id).features[-1]
    assert bore.seat_z == pytest.approx(work.state.holes[0].hole.seat, abs=0.05)


def test_arrow_keys_nudge_the_bore_and_count_as_one_edit(hand, edits):
    work = hand.take("cut_bore")
    shape, before = work.state, edits()
    hand.canvas.setFocus()
    QTest.keyClick(hand.canvas, Qt.Key.Key_Right)
    QTest.keyClick(hand.canvas, Qt.Key.Key_Right)
    QTest.keyClick(hand.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert _values(hand, "cut_bore").at == pytest.approx((shape.x + 2.0, shape.y + 0.1))
    assert edits() == before + 1


@pytest.mark.parametrize(("grip", "field"), [("wall 0", "wall_diameter"), ("top 0", "top_diameter")])
def test_a_core_is_widened_by_its_ring(hand, edits, grip, field):
    work = hand.take("split_core")
    cone, before = work.state.cones[0], edits()
    knob, name = hand.grip(grip), grip.split()[0]
    foot = np.array([cone.x, cone.y, knob[2]])
    wider = foot + (knob - foot) * 1.2
    hand.drag(hand.pixel(knob), hand.pixel(wider))
    size = 1.2 * (cone.wall if name == "wall" else cone.top)
    size = size if name == "wall" else min(size, cone.wall)
    wanted = getattr(_values(hand, "split_core"), field)
    assert wanted == pytest.approx(size, abs=0.5 + 3 * _pixel(hand, knob))
    assert edits() == before + 1
    hand.settled()
    face = hand.document.step(work.bench.step_id).features[-1]
    assert getattr(face, field) == pytest.approx(wanted, abs=0.01)


def test_the_turn_ring_clicks_in_at_whole_ticks(hand, edits):
    work = hand.take("orient_to_base")
    knob, before = hand.grip("turn"), edits()
    radius = np.hypot(*knob[:2])
    aim = np.radians(90.0 + 31.0)
    hand.drag(hand.pixel(knob), hand.pixel([radius * np.cos(aim), radius * np.sin(aim), 0.0]))
    assert _values(hand, "orient_to_base").turn == 30.0
    assert edits() == before + 1
    hand.settled()
    assert hand.document.is_current(work.bench.step_id)


def test_a_plane_is_picked_and_drawn_along_its_normal(hand, edits):
    work = hand.take("orient_to_base")
    step = work.bench.step_id
    hand.document.edits.edit(step, {"by": "plane"})
    hand.settled()
    hand.view.set_view("back")  # it stays as it was turned
    before = edits()
    spot = hand.pixel((5.0, -8.0, 0.0))
    hand.point(spot)
    hand.press(spot)
    hand.release(spot)
    plane = _values(hand, "orient_to_base").plane
    assert plane.normal == pytest.approx((0.0, -1.0, 0.0), abs=1e-4)
    assert edits() == before + 1
    hand.settled()
    assert hand.document.step(step).result == "along the plane given"
    hand.view.set_view("right")
    knob = hand.grip("plane")
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 0.0, -8.0)))
    moved = np.array(_values(hand, "orient_to_base").plane.point) - plane.point
    shown = work.bench.frames.from_entering[:3, :3] @ moved
    assert shown == pytest.approx([0.0, 0.0, -8.0], abs=2 * _pixel(hand, knob))
    assert edits() == before + 2


def test_a_plane_drawn_into_the_hold_is_where_the_back_is_cut(hand):
    work = hand.take("orient_to_base")
    step = work.bench.step_id
    lying = PointPick(point=(0.0, 0.0, 0.0), normal=(0.0, -1.0, 0.0))
    hand.document.edits.edit(step, {"by": "plane", "plane": lying})
    hand.settled()
    trimmed = next(each.id for each in hand.document.recipe.steps if each.operation == "trim_base")
    before = hand.document.step(trimmed).measures.bounds_mm[1][2]
    hand.view.set_view("right")
    knob = hand.grip("plane")
    hand.drag(hand.pixel(knob), hand.pixel(knob, (0.0, 0.0, 9.0)), let_go=False)
    assert f"{step}/cut" in hand.ghosts()
    hand.release(hand.pixel(knob, (0.0, 0.0, 9.0)))
    hand.settled()
    shown = work.bench.frames.place(_values(hand, "orient_to_base").plane)[0]
    assert shown[2] == pytest.approx(9.0, abs=2 * _pixel(hand, knob))
    lost = before - hand.document.step(trimmed).measures.bounds_mm[1][2]
    assert lost > 3.0, "the finished back lies on the plane"


def test_escape_gives_a_drag_up(hand, edits):
    work = hand.take("cut_bore")
    knob, before, state = hand.grip("place-knob"), edits(), work.state
    stop = hand.pixel(knob, (-9.0, 0.0, 0.0))
    hand.drag(hand.pixel(knob), stop, let_go=False)
    assert work.state != state
    QTest.keyClick(hand.canvas, Qt.Key.Key_Escape)
    assert work.state == state
    hand.point(stop + QPoint(5, 5))
    hand.release(stop)
    assert edits() == before
    assert work.state == state


def test_ghosts_come_with_the_tool_and_go_with_it(hand):
    for step in hand.document.recipe.steps:
        hand.document.edits.select(step.id)
        assert all(name.startswith(f"{step.id}/") for name in hand.ghosts())
        assert hand.ghosts() or step.operation == "import_sculpt"
    hand.view.set_tool(None)
    assert hand.ghosts() == set()


def test_a_step_that_is_skipped_has_no_handles(hand, edits):
    work = hand.take("cut_bore")
    knob = hand.grip("place-knob")
    hand.document.edits.toggle_step(work.bench.step_id)
    assert hand.ghosts() == set()
    before = edits()
    hand.drag(hand.pixel(knob), hand.pixel(knob, (9.0, 0.0, 0.0)))
    assert edits() == before
    hand.document.edits.undo()
    hand.settled()
    assert hand.ghosts()


def test_a_press_beside_all_handles_is_the_cameras(hand, edits):
    hand.take("orient_to_base", "three_quarter")
    before, azimuth = edits(), hand.view.pose.azimuth
    middle = QPoint(hand.view.width() // 2, hand.view.height() // 2)
    hand.drag(middle, middle + QPoint(60, 0))
    assert hand.view.pose.azimuth != pytest.approx(azimuth)
    assert edits() == before
