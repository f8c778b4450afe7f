"""Whether bolt, seat and core are strong enough: figures by hand, and the findings they give."""

import dataclasses
from dataclasses import replace

import numpy as np
import pytest

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import conditions
from holdwright.joint.findings import joint_findings
from holdwright.joint.joint_card import JointCard, joint_cards
from holdwright.joint.joint_shape import joint_shape
from holdwright.ranges import Range

CATALOGUE = load_catalogue()
SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"
BORE = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, SCREW, WASHER)


def block(bore: Bore = BORE) -> Hold:
    solid = shapes.block(120.0, 100.0, 40.0)
    bored = cut_hole(solid, Hole(0.0, 0.0, bore.seat_z, 11.0, 31.0, 30.0)).solid
    return Hold().with_whole(bored, Rim(2.0, 0.0, 0.0, 1.0, 1, 1), bore)


def card(hold: Hold | None = None, **changes: object) -> JointCard:
    wanted = dataclasses.replace(conditions(CATALOGUE), **changes)
    return joint_cards(joint_shape(hold or block()), wanted, CATALOGUE)[0]


def test_a_bolt_is_pulled_and_bent_where_the_hold_slips_onto_it():
    found = card(torque=12.0, mass=80.0, factor=2.0, least=(0.2, 0.0))
    # 4 mm from the T-nut's thread to the panel's face, and half of what bears on the shank at 27 MPa.
    across = 80.0 * 9.80665 * 2.0
    lever = 18.0 - 14.0 + across / (10.0 * 27.0) / 2.0
    section = np.pi / 32.0 * (4.0 * 58.0 / np.pi) ** 1.5
    pull = 6000.0 + found.bolt_tension.value - found.preload.high
    assert found.bolt_bent.value == pytest.approx(pull / 58.0 + across * lever / section, rel=1e-3)
    assert found.bolt_bent.limit == 640.0
    assert "bolt_bends" not in {each.code for each in joint_findings((found,))}
    heavy = card(mass=200.0, factor=3.0)
    finding = next(each for each in joint_findings((heavy,)) if each.code == "bolt_bends")
    assert finding.severity == "error"


def test_turning_and_slipping_share_one_friction():
    found = card(torque=12.0)
    turning = found.friction_torque.value / found.applied_torque.value
    assert (1 / found.together.value) ** 2 == pytest.approx(1 / turning**2 + 1 / found.slip.value**2)
    assert found.together.value < min(turning, found.slip.value)


def test_leaning_bolts_pull_along_the_wall():
    lean = np.radians(10.0)
    axis = float(np.sin(lean)), 0.0, float(np.cos(lean))
    shape, wanted = joint_shape(block()), conditions(CATALOGUE)
    leaning = replace(shape, bores=(replace(BORE, axis=axis),))
    (straight,), (leant,) = (joint_cards(each, wanted, CATALOGUE) for each in (shape, leaning))
    mu = 0.35
    left = leaning.friction_left(Range(0.1, mu, 0.5))
    assert (left.low, left.likely) == pytest.approx((0.0, mu - np.tan(lean)))
    friction, outward = wanted.friction.range.likely, wanted.load.outward
    clamp = straight.preload.residual.likely
    ratio = (friction - np.tan(lean)) * (clamp * np.cos(lean) - outward) / friction / (clamp - outward)
    assert leant.slip.value == pytest.approx(ratio * straight.slip.value)
    # Two that lean toward each other leave all of it.
    other = replace(BORE, axis=(-axis[0], 0.0, axis[2]))
    both = replace(shape, bores=(leaning.bores[0], other))
    assert both.friction_left(Range(mu, mu, mu)).likely == pytest.approx(mu)
