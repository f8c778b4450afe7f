"""What the panel bears behind a bolt, by hand."""

import math
import re
from dataclasses import replace

import pytest

import shapes
from holdwright.catalogue.anchorage import Panel, TNut
from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.joint.joint_parameters import JointParameters

CATALOGUE = load_catalogue()
PRONGED = "M10 pronged T-nut, barrel 11"


def bored(solid: Solid) -> Hold:
    solid = cut_hole(solid, Hole(0.0, 0.0, 25.0, 11.0, 31.0, 30.0)).solid
    names = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"
    return Hold().with_whole(solid, Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, *names))


BLOCK = bored(shapes.block(120.0, 100.0, 40.0))


def card_of(hold: Hold = BLOCK, **wanted: object) -> JointCard:
    (card,) = joint_cards(joint_shape(hold), conditions(CATALOGUE, JointParameters(**wanted)), CATALOGUE)
    return card


def graded(card: JointCard) -> dict[str, str]:
    return {finding.code: finding.severity for finding in joint_findings([card])}


def test_flange_pressure_by_hand():
    # 12 N m at K 0.15, 0.2, 0.3: 8, 6, 4 kN on 36.3 less 12 and three holes of 4.5.
    area = math.pi / 4 * (36.3**2 - 12.0**2) - 3 * math.pi / 4 * 4.5**2
    found = card_of(torque=12.0).flange_pressure
    assert found.value == pytest.approx(6000.0 / area, rel=1e-4)
    assert found.range.high == pytest.approx(8000.0 / area, rel=1e-4)
    # It spreads at 45 degrees through 18 mm.
    assert found.limit == pytest.approx(5.4 * (36.3 + 36.0) / 36.3)


def test_a_narrow_flange_sinks_in():
    nut = look_up(CATALOGUE.t_nuts, PRONGED, "T-nut")
    assert nut.bearing_area == pytest.approx(math.pi / 4 * (25.0**2 - 12.0**2) - 4 * 3.0 * 6.0)
    likely = 5.4 * (25.0 + 36.0) / 25.0 * nut.bearing_area * 0.2 * 10.0 / 1000.0
    """Torque at which it likely sinks in, N m."""
    assert "flange_overloaded" not in graded(card_of(t_nut=PRONGED, torque=0.74 * likely))
    assert graded(card_of(t_nut=PRONGED, torque=0.99 * likely))["flange_overloaded"] == "note"
    assert graded(card_of(t_nut=PRONGED, torque=1.01 * likely))["flange_overloaded"] == "warning"
    # At most 6.7 MPa, once it has sunk in by a tenth: 1.5 out for 1 deep.
    most = likely * 6.7 * (25.0 + 54.0) / 5.4 / (25.0 + 36.0)
    assert most > 12.0, "usual practice is no error"
    assert graded(card_of(t_nut=PRONGED, torque=0.99 * most))["flange_overloaded"] == "warning"
    assert graded(card_of(t_nut=PRONGED, torque=1.01 * most))["flange_overloaded"] == "error"


def test_rows_that_do_not_tell_get_plywoods_figures():
    panel = Panel(name="mine", thickness=18.0, density=0.65, source="mine", tag="P")
    usual = look_up(CATALOGUE.panels, "18 mm plywood", "panel")
    for name in ("modulus_across", "bearing", "rolling_shear"):
        assert getattr(panel, name) == getattr(usual, name)
    sizes = {"barrel": 11.0, "barrel_diameter": 12.0, "flange": 25.0}
    mine = TNut(name="mine", thread="M10", source="mine", tag="P", **sizes)
    assert mine.bearing_area == look_up(CATALOGUE.t_nuts, PRONGED, "T-nut").bearing_area
    with pytest.raises(ValueError, match="flange must be wider"):
        TNut(name="mine", thread="M10", source="mine", tag="P", **sizes | {"flange": 14.0})


def test_only_what_the_hold_does_not_press_back_pulls_through():
    flat = card_of()
    # A ring from 50 mm on, relieved within: nothing presses back over the flange.
    pocket = shapes.frustum(50.0, 50.0, 2.0).kernel.translate((0.0, 0.0, -1.0))
    land = BLOCK.with_whole(Solid.checked(bored(shapes.block(160.0, 160.0, 40.0)).whole.kernel - pocket))
    relieved = card_of(land)
    assert relieved.pull_through.value == pytest.approx(6000.0)
    assert flat.pull_through.value < 0.8 * relieved.pull_through.value
    assert relieved.pull_through.limit == pytest.approx(2.0 * math.pi * (36.3 + 18.0) * 18.0)
    assert graded(relieved)["panel_punched"] == "note"
    assert graded(card_of(land, torque=14.0))["panel_punched"] == "error"
    # What is an error lies beyond the usable torques.
    most = relieved.window.too_much["panel"]
    assert relieved.window.most <= most < flat.window.too_much["panel"]
    assert graded(card_of(land, torque=1.001 * most))["panel_punched"] == "error", (
        "no torque beyond is usable"
    )
    assert graded(card_of(land, torque=0.999 * most))["panel_punched"] == "note"


def test_at_the_torque_told_the_panel_surely_bears_it():
    for values in ({}, {"torque": 16.0}, {"torque": 20.0, "t_nut": PRONGED}):
        told = [
            each for each in joint_findings([card_of(**values)]) if "does not come to that" in each.advice
        ]
        for finding in told:
            torque = float(re.search(r"At ([0-9.]+) N m", finding.advice).group(1))
            assert finding.code not in graded(card_of(**{**values, "torque": torque})), values
            assert finding.code in graded(card_of(**{**values, "torque": torque + 0.11})), "told in tenths"
        assert told or not values


def test_a_load_greater_than_the_clamp_pulls_through_by_itself():
    heavy = card_of(factor=10.0, torque=2.0)
    assert heavy.pull_through.value > 1000.0
    assert heavy.pull_through.value == pytest.approx(heavy.pull_through.range.low)


def test_key_and_stand_out():
    card = card_of()
    # 40 high, seat 25, washer 2.5, head 10.
    assert card.tool_reach.value == pytest.approx(2.5, abs=1e-6)
    assert card.hardware.screw.key == 8.0
    assert card.stand_out.value == pytest.approx(card.bolt.length - 45.5)
    assert "bolt_too_long" in graded(card_of(behind=0.0, t_nut=PRONGED))


def test_bad_panels_and_t_nuts_get_a_sentence():
    with pytest.raises(ParameterError, match="barrel of 14 mm was asked for in a panel of 3 mm"):
        joint_cards(joint_shape(BLOCK), conditions(CATALOGUE, panel=3.0), CATALOGUE)
    with pytest.raises(ParameterError, match="A panel of 0 mm was asked for"):
        conditions(CATALOGUE, panel=0.0)
    without = replace(CATALOGUE, t_nuts=())
    with pytest.raises(ParameterError, match="no T-nut for M10"):
        joint_cards(joint_shape(BLOCK), conditions(without), without)
    assert graded(card_of(torque=90.0))["bolt_overloaded"] == "error"


def test_a_hold_without_a_back_gets_a_sentence():
    lifted = Solid.checked(BLOCK.whole.kernel.translate((0.0, 0.0, 5.0)))
    with pytest.raises(GeometryError, match="no flat back on z = 0"):
        joint_shape(BLOCK.with_whole(lifted))
