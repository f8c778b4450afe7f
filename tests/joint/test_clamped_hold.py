"""Several bolts, and wood screws beside them: what they hold together."""

from dataclasses import replace

import numpy as np
import pytest

from holdwright.hold.feature import ScrewHole
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.json_values import plain_joint
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.card.screws import Ground
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from joint.blocks import CATALOGUE, block, cards, codes


def test_wood_screws_there_count_with_their_levers():
    """By hand: M = r1 sum r^2 capped where the farther screw gives in; the one on the bolt does nothing."""
    bare = block()
    holes = [
        ScrewHole(x, y, (0.0, 0.0, 1.0), 5.5, 10.4, 90.0, 12.0, 12.0, "5 mm countersunk wood screw")
        for x, y in ((30.0, 0.0), (0.0, 40.0), (0.0, 0.0))
    ]
    (without,), (with_screws,) = cards(bare), cards(replace(bare, features=(*bare.features, *holes)))
    capacity = with_screws.existing_screws[0].capacity
    assert [each.lever for each in with_screws.existing_screws] == pytest.approx([30.0, 40.0, 0.0])
    carried = capacity / 40.0 * (30.0**2 + 40.0**2) / 1000.0
    assert with_screws.screw_torque.value == pytest.approx(carried)
    friction, applied = without.friction_torque.value, without.applied_torque.value
    assert with_screws.friction_torque.value == pytest.approx(friction)
    assert with_screws.spin.value == pytest.approx((friction + carried) / applied)
    assert with_screws.window.enough["spin"] < without.window.enough["spin"]
    assert with_screws.screws.value < without.screws.value
    told = plain_joint(joint_shape(replace(bare, features=(*bare.features, *holes))), [with_screws])
    (bore,) = told["bores"]
    assert [each["lever_mm"] for each in bore["screws_there"]] == pytest.approx([30.0, 40.0, 0.0])
    for key in (
        "preload_N",
        "seat_pressure_MPa",
        "friction_torque_Nm",
        "spin_safety",
        "slip_safety",
        "lift_safety",
        "bolt",
        "torque_window_Nm",
    ):
        assert bore["limits"][key], key
    for key in (
        *bore["limits"],
        "friction_radius_mm",
        "applied_torque_Nm",
        "screws_needed",
        "screw_torque_Nm",
    ):
        assert bore["sources"][key], key


def test_two_bolts_clamp_twice_as_hard_about_their_middle():
    least = 0.2, 0.0
    (one,), (left, right) = cards(block(), least=least), cards(block((-25.0, 0.0), (25.0, 0.0)), least=least)
    assert left.preload == one.preload
    assert left.slip.value == pytest.approx(2 * one.slip.value)
    assert left.spin == right.spin
    # The worst load turns about the line through both: nothing is gained but their pull.
    assert left.lift.value == pytest.approx(2 * one.lift.value, rel=0.1)
    # Each presses on its own cone, 25 mm from the middle.
    wider = left.friction_radius.value / one.friction_radius.value
    assert 25.0 < left.friction_radius.value < 25.0 + one.friction_radius.value
    assert left.friction_torque == right.friction_torque
    assert left.friction_torque.value == pytest.approx(2 * wider * one.friction_torque.value, rel=0.03)
    assert left.seat_pressure.value == pytest.approx(one.seat_pressure.value)


def test_two_bolts_lock_each_other_against_turning():
    (one,), (left, right) = cards(block()), cards(block((-25.0, 0.0), (25.0, 0.0)))
    assert one.bolt_torque.value == 0.0
    assert one.screws.value >= 1
    # Both 25 mm from their middle: M = 2 F r, F of a shank of 8.6 mm in 25 mm of PETG and 18 mm of plywood.
    shear = Ground(left.conditions.panel, 27.0).bolt(left.hardware, 25.0)
    assert 2000.0 < shear.force < 6000.0
    assert left.bolt_torque.value == pytest.approx(2 * shear.force * 25.0 / 1000.0)
    for card in (left, right):
        assert card.screws.value == card.screws.range.low == card.screws.range.high == 0
        assert card.spin.value == pytest.approx(
            (card.friction_torque.value + card.bolt_torque.value) / card.applied_torque.value
        )
        assert card.window.range is not None
    assert "holds_with_screws" not in codes((left, right))
    first, *_ = joint_findings((left, right))
    assert (first.code, first.severity) == ("holds_by_friction", "note")
    assert "its bolts lock each other" in first.message


@pytest.mark.parametrize("torque", [3.0, 8.0, 12.0, 16.0])
def test_the_screws_are_enough_at_the_low_end_of_their_window(torque):
    hold = block()
    (card,) = cards(hold, torque=torque)
    count, (low, high) = int(card.screws.value), card.window.range_with_screws
    assert count >= 1
    assert low <= max(torque, card.window.enough["overturning"]) + 1e-9
    assert high == card.window.most
    fixed = [
        ScrewHole(each.x, each.y, (0.0, 0.0, 1.0), 5.5, 10.4, 90.0, 37.0, 37.0, each.row.name)
        for each in card.further_screws[:count]
    ]
    (at_low,) = cards(replace(hold, features=(*hold.features, *fixed)), torque=low)
    assert at_low.screws.value == 0
    assert at_low.spin.value >= 1.0 - 1e-6
    (fewer,) = cards(replace(hold, features=(*hold.features, *fixed[:-1])), torque=low)
    assert fewer.screws.value == 1
    assert card.screws.range.low <= count <= card.screws.range.high


def test_screws_to_set_are_told_with_place_and_length():
    shape = joint_shape(block())
    (card,) = joint_cards(shape, conditions(CATALOGUE), CATALOGUE)
    (bore,) = plain_joint(shape, [card])["bores"]
    assert len(bore["screws_to_set"]) == bore["screws_needed"] == card.screws.value
    assert bore["screws_with_room"] == len(card.further_screws) >= 4
    # 37 mm under the head (40 less 0.5 and a cone of 2.45), 2.45 and 18 mm of panel: 57.5, so 60.
    first = bore["screws_to_set"][0]
    assert (first["length_mm"], first["mode"]) == (60.0, "f")
    assert first["lever_mm"] == pytest.approx(np.hypot(*first["at_mm"]))
