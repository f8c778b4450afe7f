"""Leaning bores, rows and countersinks in the view: what the pointer does, and what is drawn meanwhile."""

import math

import numpy as np
import pytest

from boring import CATALOGUE, bored
from holdwright.geometry.hole.hole_cut import hole_cutter
from holdwright.gui.handles import hole_shapes
from holdwright.gui.handles.bore_and_screw_handles import ARM, CLEAR, lean_knob, lean_of
from holdwright.hold.feature import Bore
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from shapes import block


def _values(pointer):
    return next(step.parameters for step in pointer.document.recipe.steps if step.operation == "cut_bore")


def _capped_volume(points, triangles) -> float:
    """Volume of the drawn cutter, with its two open ends closed by fans."""
    sides = len(points) // 4
    here = np.arange(sides)
    ahead, last = (here + 1) % sides, len(points) - sides
    ends = points[:sides].mean(axis=0), points[last:].mean(axis=0)
    low = np.column_stack([np.full(sides, len(points)), ahead, here])
    high = np.column_stack([np.full(sides, len(points) + 1), last + here, last + ahead])
    corners = np.vstack([points, *ends])[np.vstack([triangles, low, high])]
    return float(np.linalg.det(corners).sum() / 6.0)


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"tilt": 12.0, "toward": 30.0},
        {"screw": "M10 ISO 10642", "washer": None},
        {"hole": "slot", "slot": 8.0, "slot_toward": 40.0, "tilt": 8.0},
    ],
    ids=["flat", "leaning", "cone", "slot"],
)
def test_the_cutter_drawn_is_the_cutter(values):
    solid = block(120, 120, 40)
    parameters = CutBoreParameters(place="at", **values)
    [bore] = CutBore().preview(parameters, CATALOGUE, 3.0, -2.0, solid.mesh)
    [made] = bored(solid, place="at", at=(3.0, -2.0), **values).hold.find(Bore)
    assert bore.hole.seat == pytest.approx(made.seat, abs=0.02)
    assert bore.under == pytest.approx(made.thickness_under_seat, abs=0.02)
    drawn = hole_shapes.cutter(bore)
    height = (drawn[0] - bore.hole.foot) @ np.array(bore.hole.axis)
    true = hole_cutter(bore.hole, 0.0, float(height.max()))
    assert _capped_volume(*drawn) == pytest.approx(true.volume, rel=3e-3)
    # The rim lies on the surface.
    assert hole_shapes.rim(bore)[:, 2] == pytest.approx(40.0, abs=0.15)


def test_pushing_the_knob_outward_leans_the_axis():
    top, radius = np.array([1.0, 2.0, 40.0]), 15.5
    for tilt, toward in ((5.0, 30.0), (15.0, -120.0)):
        knob = lean_knob(top, radius, tilt, toward)
        assert lean_of(knob, top, radius, 15.0) == pytest.approx((tilt, toward))
    assert lean_of(top + np.array([3.0, 0.0, 0.0]), top, radius, 15.0)[0] == 0.0
    assert lean_of(top + np.array([300.0, 0.0, 0.0]), top, radius, 15.0)[0] == 15.0


def test_the_bore_leans_where_its_knob_is_pushed(pointer, edits):
    handles = pointer.take("cut_bore")
    knob, before, top = pointer.grip("lean"), edits(), pointer.grip("place-knob")
    radius = handles.state.holes[0].hole.pocket_radius
    assert knob[1] - top[1] == pytest.approx(radius + CLEAR)
    outward = radius + CLEAR + ARM * math.tan(math.radians(6.0))
    goal = top - np.array([outward, 0.0, 0.0])
    pointer.drag(pointer.pixel(knob), pointer.pixel(goal))
    values = _values(pointer)
    assert values.tilt == pytest.approx(6.0, abs=1.0)
    assert abs(values.toward) == pytest.approx(180.0, abs=5.0)
    assert edits() == before + 1
    told = pointer.view.overlay.labels[f"{handles.step_id}/thickness"].text
    pointer.settled()
    made = pointer.document.step(handles.step_id)
    bore = made.features[-1]
    assert bore.tilt == pytest.approx(values.tilt)
    assert bore.axis[0] < 0.0
    assert float(told.split()[1]) == pytest.approx(bore.thickness_under_seat, abs=0.3)
    assert "bore_leans" in {finding.code for finding in made.findings}


def test_each_bore_of_a_row_is_drawn_and_all_move_together(pointer, edits):
    handles = pointer.take("cut_bore")
    step = handles.step_id
    pointer.document.edits.edit(step, {"count": 2, "pitch": 45.0, "washer": None, "wall": 4.0, "edge": 6.0})
    pointer.settled()
    one, two = handles.state.holes
    assert math.hypot(two.hole.x - one.hole.x, two.hole.y - one.hole.y) == pytest.approx(45.0)
    assert {f"{step}/thickness", f"{step}/thickness 1"} <= set(pointer.view.overlay.labels)
    before, knob = edits(), pointer.grip("place-knob", 1)
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 3.0, 0.0)))
    values = _values(pointer)
    assert values.place == "at"
    assert values.at[1] == pytest.approx((one.hole.y + two.hole.y) / 2 + 3.0, abs=0.7)
    assert edits() == before + 1
    pointer.settled()
    assert not pointer.document.failure


def test_seen_aslant_the_knob_stays_under_the_pointer(pointer):
    pointer.take("cut_bore", "three_quarter")
    start = pointer.pixel(pointer.grip("place-knob"))
    # The last goals are on the flank, lower than the top where the knob was taken.
    for across, up in ((0, -20), (30, 10), (60, 30), (-50, 30)):
        goal = start + type(start)(across, up)
        pointer.drag(pointer.pixel(pointer.grip("place-knob")), goal)
        knob = pointer.grip("place-knob")
        x, y, _ = pointer.view.lens.project(knob)[0]
        # The surface is known on a grid of 0.5 mm, and places are whole tenths.
        assert math.hypot(x - goal.x(), y - goal.y()) < 1.0 / pointer.view.lens.mm_per_pixel(knob)
    assert not pointer.document.failure
