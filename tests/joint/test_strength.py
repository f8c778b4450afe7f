"""Whether bolt, seat and core are strong enough: figures by hand, and the findings they give."""

import dataclasses
from dataclasses import replace

import numpy as np
import pytest

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.hold.feature import BackPocket, Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.card.core_figures import infill_stiffness, infill_yield
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import ShellFill, conditions
from holdwright.joint.holding.joint_shape import JointShape, joint_shape
from holdwright.joint.joint_parameters import JointParameters
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
    # From the T-nut's thread to the panel's face, and half of what bears on the shank at 27 MPa.
    across = 80.0 * 9.80665 * 2.0
    lever = 18.0 - found.hardware.t_nut.barrel + across / (10.0 * 27.0) / 2.0
    section = np.pi / 32.0 * (4.0 * 58.0 / np.pi) ** 1.5
    pull = 6000.0 + found.bolt_tension.range.high - found.preload.high
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


def cored(core: Frustum, *pockets: BackPocket) -> JointShape:
    return replace(joint_shape(block()), cores=(core,), pockets=pockets)


def pocket(half: float, depth: float = 1.0) -> BackPocket:
    corners = ((-half, -half), (half, -half), (half, half), (-half, half))
    return BackPocket(depth, 12.0, 4.0 * half * half, (corners,))


def found(shape: JointShape, **changes: object) -> tuple[JointCard, dict[str, str]]:
    wanted = dataclasses.replace(conditions(CATALOGUE), **changes)
    (card,) = joint_cards(shape, wanted, CATALOGUE)
    return card, {each.code: each.severity for each in joint_findings((card,))}


def test_share_of_the_seat_on_the_core():
    wide, codes = found(cored(Frustum((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 25.0, 20.0, 26.0)))
    assert (wide.washer_on_core.value, wide.core_share.value, wide.core_gap.value) == (100.0, 100.0, 0.0)
    assert wide.plug_shear.value is None
    assert not {"washer_beyond_core", "core_above_wall", "plug_shears"} & set(codes)
    # A washer of 30 on a hole of 11, a core of 27; the shell has 0.65 0.35^1.4 of its modulus.
    narrow, codes = found(cored(Frustum((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 13.5, 13.5, 25.0)))
    on = (27.0**2 - 11.0**2) / (30.0**2 - 11.0**2)
    assert narrow.washer_on_core.value == pytest.approx(100.0 * on, rel=0.02)
    soft = 0.65 * 0.35**1.4
    assert narrow.core_share.value == pytest.approx(100.0 * on / (on + (1 - on) * soft), rel=0.01)
    assert codes["washer_beyond_core"] == "warning"
    whole, codes = found(joint_shape(block()))
    assert whole.washer_on_core.value is whole.core_gap.value is None
    assert "washer_beyond_core" not in codes


def test_the_shell_carries_a_core_that_ends_above_the_wall():
    core = Frustum((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 20.0, 20.0, 25.0)
    card, codes = found(cored(core, pocket(40.0)), torque=12.0)
    # 24 mm of face, 2 mm outside the core, of which 1.6 mm are solid; PETG 49 MPa, 0.82 of it printed.
    stress = 49.0 * 0.82 / np.sqrt(3.0)
    face = 2.0 * np.pi * 22.0 * (0.48 * 0.35**1.1 * (24.0 - 1.6) + 1.6)
    assert card.plug_shear.value == pytest.approx(stress * face / 6000.0)
    assert card.core_gap.value == 1.0
    assert codes["core_above_wall"] == "note"
    # A land under the core keeps it on the wall.
    stands, codes = found(cored(core, pocket(10.0)))
    assert (stands.core_gap.value, stands.plug_shear.value) == (0.0, None)
    light, codes = found(cored(core, pocket(40.0)), fill=ShellFill(0.1, 0.0, 0.0))
    assert light.plug_shear.value < 1.0
    assert codes["plug_shears"] == "error"


def test_infill_bears_less_than_its_share():
    assert infill_yield(0.35) == pytest.approx(0.48 * 0.35**1.1)
    assert infill_stiffness(0.2) == pytest.approx(0.068, rel=0.02)  # a gyroid's cell, computed
    assert (infill_yield(1.0), infill_stiffness(1.0)) == pytest.approx((1.0, 1.0))
    shares = [
        law(each) for law in (infill_yield, infill_stiffness) for each in (0.0, 0.1, 0.49, 0.5, 0.51, 0.9)
    ]
    assert shares[:6] == sorted(shares[:6])
    assert shares[6:] == sorted(shares[6:])


def test_strength_goes_by_what_printing_leaves_of_it():
    shape = joint_shape(block())

    def through(**asked: float) -> Range:
        wanted = conditions(CATALOGUE, JointParameters(**asked))
        return joint_cards(shape, wanted, CATALOGUE)[0].seat_pull_through.range

    usual, weak, across, moulded = (
        through(),
        through(printed=0.41),
        through(across_layers=0.5),
        through(printed=1),
    )
    for one, other in ((weak, 0.5), (across, 0.5)):
        assert vars(one) == pytest.approx({name: other * value for name, value in vars(usual).items()})
    # No more than moulded, whatever the scatter.
    assert moulded.high == pytest.approx(usual.high / 0.95)
    assert moulded.likely == pytest.approx(usual.likely / 0.82)


@pytest.mark.parametrize(("under", "severity"), [(12.0, None), (4.0, "warning"), (3.0, "error")])
def test_a_seat_thinner_than_it_must_be_is_told(under, severity):
    shape = joint_shape(block(replace(BORE, seat_z=under, thickness_under_seat=under)))
    card, codes = found(shape, torque=12.0)
    assert codes.get("seat_pulls_through") == severity
    pull = card.preload.tightened.likely + card.bolt_tension.range.high - card.preload.high
    stress = 49.0 * 0.82 / np.sqrt(3.0)
    assert card.seat_pull_through.value == pytest.approx(stress * np.pi * 30.0 * under / pull, rel=1e-3)
