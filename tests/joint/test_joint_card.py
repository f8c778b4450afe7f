"""Joint cards of solids whose figures are known."""

import dataclasses
import json
from dataclasses import replace

import numpy as np
import pytest

import shapes
from holdwright.catalogue.catalogue import look_up
from holdwright.errors import CatalogueError, GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.json_values import plain_joint
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.joint.joint_parameters import JointParameters
from joint.blocks import CATALOGUE, SCREW, WASHER, block, bored, cards, codes, judged


def test_figures_of_a_block_by_hand():
    shape = joint_shape(block())
    assert shape.contact.area == pytest.approx(120 * 100 - np.pi * 5.5**2, rel=1e-6)
    # Pulled square to the way to its corner, its arm is that; straight down half the width.
    assert shape.reach.arm == pytest.approx(np.hypot(60.0, 50.0), rel=0.005)
    down = shape.reach.loads.directions[:, 1] == -1.0
    assert shape.reach.arms[down].max() == pytest.approx(60.0)
    assert shape.reach.height == pytest.approx(40.0)
    (card,) = cards(block(), torque=10.0, mass=80.0, factor=1.0)
    assert (card.preload.low, card.preload.high) == pytest.approx((1e4 / 3.0, 2e4 / 3.0))
    assert dataclasses.astuple(card.preload.residual) == pytest.approx((5e3 / 3.0, 3e3, 1.6e4 / 3.0))
    assert card.seat_pressure.value == pytest.approx(5000.0 / 611.825, rel=1e-5)
    assert card.seat_pressure.range.high == pytest.approx(2e4 / 3.0 / 611.825, rel=1e-5)
    radius = card.friction_radius.value
    # 0.2 of the weight pulls outward.
    outward = 0.2 * 80 * 9.80665
    assert card.friction_torque.value == pytest.approx(0.35 * (3000.0 - outward) * radius / 1000.0)
    assert card.friction_torque.range.low == pytest.approx(0.25 * (5e3 / 3.0 - outward) * radius / 1000.0)
    assert card.friction_torque.range.high == pytest.approx(0.4 * (1.6e4 / 3.0 - outward) * radius / 1000.0)
    assert card.applied_torque.value == pytest.approx(80 * 9.80665 * shape.reach.arm / 1000.0)
    assert card.spin.value == pytest.approx(card.friction_torque.value / card.applied_torque.value)
    assert card.slip.value == pytest.approx(0.35 * (3000.0 - outward) / (80 * 9.80665))
    assert card.bolt_name == "M10 socket cap ISO 4762 x 45"
    # At worst 45 - 0.5 of the bolt, less a pitch of its end, over 25.3 + 2.7 + 18.74 - 14 of T-nut's barrel.
    assert card.bolt.engagement == pytest.approx(44.5 - 1.5 - 32.74)


def test_everything_scales_as_it_must():
    still = {"least": (0.0, 0.0)}
    (one,), (two,) = cards(block(), torque=6.0, **still), cards(block(), torque=12.0, **still)
    for name in ("seat_pressure", "friction_torque", "spin", "slip", "lift", "overturning"):
        assert getattr(two, name).value == pytest.approx(2 * getattr(one, name).value), name
    (heavy,) = cards(block(), torque=12.0, factor=4.0, **still)
    for name in ("spin", "slip", "lift", "overturning"):
        assert getattr(heavy, name).value == pytest.approx(getattr(two, name).value / 2), name
    assert heavy.window.most == pytest.approx(min(two.window.too_much["seat"], heavy.window.too_much["bolt"]))


def test_the_window_is_where_the_figures_meet_their_limits():
    (card,) = cards(block(), torque=12.0, factor=0.2)
    low, high = card.window.range
    (at_low,), (at_high,) = cards(block(), torque=low, factor=0.2), cards(block(), torque=high, factor=0.2)
    assert min(at_low.spin.value, at_low.overturning.value) == pytest.approx(1.0)
    assert at_high.seat_pressure.value == pytest.approx(at_high.seat_pressure.limit)
    assert "holds_by_friction" in codes((card,))
    loose = judged(cards(block(), torque=low / 2, factor=0.2))
    assert (loose.code, loose.severity) == ("holds_with_screws", "note")
    assert f"At {low:.0f} to {high:.0f} N m it holds by friction." in loose.advice


def test_split_or_whole_gives_the_same_card():
    hold = block()
    cutter = shapes.frustum(30.0, 24.0, 80.0)
    within, without = hold.whole.kernel.split(cutter.kernel)
    parts = hold.with_parts({SHELL: Solid.checked(without), CORE: Solid.checked(within)})
    (whole,), (split,) = cards(hold), cards(parts)
    assert split.friction_radius.value == pytest.approx(whole.friction_radius.value, rel=1e-6)
    assert split.overturning.value == pytest.approx(whole.overturning.value, rel=0.05)


def test_worst_points_are_on_the_grip_surface_facing_the_load():
    hold = bored(shapes.frustum(60.0, 30.0, 40.0), (0.0, 0.0))
    found = joint_shape(hold).reach
    # Each load is on the flank that faces it: arms up to the flank's half width, never the back or pocket.
    assert (np.einsum("ij,ij->i", found.loads.points[:, :2], found.loads.directions) < 0.0).all()
    # At the rim's height the radius is 58.5, and the flank faces the load up to 64.7 degrees to either side.
    for direction in np.unique(found.loads.directions, axis=0):
        here = (found.loads.directions == direction).all(axis=1)
        assert found.arms[here].max() == pytest.approx(58.5 * np.sin(np.radians(64.7)), rel=0.03)
        assert found.loads.points[here, 2].max() == pytest.approx(40.0)
        assert found.loads.points[here, 2].min() == pytest.approx(2.0)


def test_an_overhang_pulls_the_hold_off():
    (upright,), (roof,) = cards(block(), overhang=0.0), cards(block(), overhang=60.0)
    assert roof.lift.value < upright.lift.value
    assert roof.friction_torque.value < upright.friction_torque.value
    # On a roof some of the pull still goes along it.
    (level,) = cards(block(), overhang=90.0)
    friction = level.friction_torque.value / level.friction_radius.value * 1000.0
    assert level.slip.value == pytest.approx(friction / (0.2 * 160 * 9.80665))
    assert max(level.spin.value, level.slip.value, level.overturning.value) < 20.0


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({"torque": 0.0}, "torque of 0 N m was asked for"),
        ({"torque": float("nan")}, "torque of nan"),
        ({"mass": -1.0}, "load of -1 kg"),
        ({"factor": 0.0}, "factor of 0"),
        ({"overhang": 100.0}, "overhang of 100 degrees"),
        ({"screw": CATALOGUE.screw("M12 ISO 4762")}, "does not go through the hole of 11 mm"),
        (
            {"screw": CATALOGUE.screw("M10 ISO 10642")},
            "needs a cone of 90 degrees and the bore has a flat seat",
        ),
        ({"washer": CATALOGUE.washer("M8 ISO 7093")}, "does not go over the thread"),
        ({"material": look_up(CATALOGUE.materials, "TPU 95A", "material")}, "do not tell what it bears"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(changes, wanted):
    with pytest.raises(ParameterError, match=wanted):
        cards(block(), **changes)


def test_no_bore_no_joint():
    with pytest.raises(GeometryError, match="no bore"):
        joint_shape(Hold().with_whole(shapes.block()))
    with pytest.raises(CatalogueError, match="no such row"):
        conditions(CATALOGUE, JointParameters(material="cheese"))


def test_json_has_every_figure_with_limit_and_source():
    shape = joint_shape(block())
    found = joint_cards(shape, conditions(CATALOGUE), CATALOGUE)
    told = json.loads(json.dumps(plain_joint(shape, found), allow_nan=False))
    (bore,) = told["bores"]
    wanted = {
        "preload_N", "seat_pressure_MPa", "friction_radius_mm", "friction_torque_Nm", "applied_torque_Nm",
        "spin_safety", "slip_safety", "lift_safety", "bolt", "torque_window_Nm", "screws_needed",
    }  # fmt: skip
    assert wanted <= set(bore)
    assert wanted <= set(bore["sources"])
    assert all(len(source) > 10 for source in bore["sources"].values())
    assert bore["limits"]["spin_safety"] == {"at_least": 1.0}
    assert bore["limits"]["seat_pressure_MPa"] == {"at_most": pytest.approx(13.5)}
    assert set(bore["bolt"]) >= {"name", "length_mm", "engagement_mm"}
    assert any("EN 12572-3" in caution for caution in told["cautions"])


def test_other_materials_and_inch_hardware():
    (pla,) = cards(block(), material=look_up(CATALOGUE.materials, "PLA", "material"))
    assert pla.preload.residual.likely == pytest.approx(0.4 * pla.preload.tightened.likely)
    assert pla.preload.residual.low == pytest.approx(0.3 * pla.preload.low)
    solid = cut_hole(shapes.block(120.0, 100.0, 40.0), Hole(0.0, 0.0, 25.0, 10.32, 26.4, 25.4)).solid
    bore = Bore(
        0,
        0,
        (0.0, 0.0, 1.0),
        10.32,
        26.4,
        25.0,
        25.0,
        "3/8-16 socket cap ASME B18.3",
        "3/8-16 wide washer ASME B18.21.1",
    )
    (inch,) = cards(Hold().with_whole(solid, bore))
    assert inch.bolt_name == "3/8-16 socket cap ASME B18.3 x 1 3/4 in"
    assert inch.hardware.strength.name == "grade 5"
    assert inch.hardware.t_nut.thread == "3/8-16"


def test_a_seat_that_breaks_out_carries_less():
    whole, broken = shapes.block(120.0, 100.0, 40.0), shapes.block(120.0, 60.0, 40.0)
    (full,), (less,) = cards(bored(whole, (0.0, 20.0))), cards(bored(broken, (0.0, 20.0)))
    # The ring from 5.5 to 15 mm less the segment of the disc beyond 10 mm from the axis.
    angle = np.arccos(10 / 15)
    lost = 15.0**2 * angle - 10.0 * np.sqrt(15.0**2 - 10.0**2)
    ring = np.pi * (15.0**2 - 5.5**2)
    assert less.seat_pressure.value / full.seat_pressure.value == pytest.approx(
        ring / (ring - lost), rel=0.01
    )
    high = dataclasses.replace(bored(whole, (0.0, 0.0)).find(Bore)[0], seat_z=60.0)
    with pytest.raises(GeometryError, match=r"Only 0% of the seat"):
        cards(Hold().with_whole(whole, high))


def test_a_countersunk_bolt_counts_its_head_and_spreads_its_cone():
    bore = Bore(
        0,
        0,
        (0.0, 0.0, 1.0),
        11.0,
        22.9,
        19.3,
        19.3,
        "M10 countersunk socket ISO 10642",
        None,
        cone_angle=90.0,
    )
    shape = Hole(0.0, 0.0, 19.3, 11.0, 22.9, 22.4, cone_angle=90.0)
    hold = Hold().with_whole(cut_hole(shapes.block(120.0, 100.0, 40.0), shape).solid, bore)
    (card,) = cards(hold, torque=9.0)
    # 19.6 to the cone and 5.7 of head, 18.74 less 14 to the T-nut's thread, 8 of thread, 1.5 of end, 0.5.
    assert card.bolt.shortest == pytest.approx(40.04)
    assert card.bolt.length == 50.0
    assert card.tool_reach.value == pytest.approx(40.0 - 25.0)
    # On its projection up to the head's real rim of 20 mm, 219.126 mm2; pushed outward with F / 2 pi.
    assert card.seat_pressure.value == pytest.approx(4500.0 / 219.126, rel=1e-5)
    finding = next(each for each in joint_findings((card,)) if each.code == "cone_spreads")
    assert f"{6000 / 2 / np.pi:.0f} N" in finding.message
    with pytest.raises(ParameterError, match="needs a flat seat and the bore has a cone of 90"):
        cards(hold, screw=CATALOGUE.screw("M10 ISO 4762"))
    with pytest.raises(ParameterError, match="takes no washer"):
        cards(hold, washer=CATALOGUE.washer("M10 ISO 7093"))


def test_a_speck_that_faces_the_load_is_no_grip():
    hold = block()
    bump = shapes.block(2.0, 2.0, 2.0).kernel.translate((62.0, 0.0, 20.0))
    spur = shapes.block(6.0, 2.0, 2.0).kernel.translate((60.0, 0.0, 20.0))
    speck = hold.with_whole(Solid.checked(hold.whole.kernel + spur + bump))
    places = np.array([[0.0, 0.0], [20.0, -10.0]])
    bare, specked = (joint_shape(each).reach.loads.arms(places) for each in (hold, speck))
    assert specked == pytest.approx(bare, abs=0.5)
    ledge = shapes.block(40.0, 20.0, 10.0).kernel.translate((70.0, 0.0, 20.0))
    found = joint_shape(hold.with_whole(Solid.checked(hold.whole.kernel + ledge))).reach
    assert found.arms[found.loads.directions[:, 1] == -1.0].max() == 90.0


def test_load_cases_stand_side_by_side():
    """By hand: all act as the load requested does, so that lift and overturning go with their forces."""
    (card,) = cards(block())
    found = {case.name: (case, held) for case, held in card.cases}
    assert found["adult"][1].spin == card.spin.range
    for case, held in found.values():
        times = (case.mass or 80.0) * case.factor / 160.0
        assert held.lift.likely == pytest.approx(card.lift.value / times)
        assert held.overturning.likely == pytest.approx(card.overturning.value / times)
        assert held.applied_torque == pytest.approx(card.applied_torque.value * times)
    spins = [found[name][1].spin.likely for name in ("child", "adult", "heavy adult")]
    assert spins == sorted(spins, reverse=True)
    (alone,) = cards(block(), mass=120.0)
    assert found["heavy adult"][1].spin.likely == pytest.approx(alone.spin.value)


def test_a_leaning_bolt_is_longer_than_its_seat_is_high():
    upright = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, SCREW, WASHER)
    lean = np.radians(15.0)
    leaning = replace(upright, axis=(float(np.sin(lean)), 0.0, float(np.cos(lean))))
    shape = joint_shape(block())
    (straight,), (leant,) = (
        joint_cards(replace(shape, bores=(bore,)), conditions(CATALOGUE), CATALOGUE)
        for bore in (upright, leaning)
    )
    # 25 + 18 mm of hold and panel, which may be 3 % thicker, along the axis; the rest does not lean.
    assert leant.bolt.shortest - straight.bolt.shortest == pytest.approx(43.54 * (1 / np.cos(lean) - 1))
