"""Joint figures beside published worked examples and closed forms.

Sources: Shigley, Mechanical Engineering Design, 9th edition, chapter 8 (example 8-3, table 8-14, equations
8-20 and 8-26; example 8-3 (b) and (c) from memory) and section 16-5 (disk clutches, from memory); proof loads
of ISO 898-1 from a public page (its address stands by them), of SAE J429 from memory; statics of eccentric
footings, any text. Polygons' friction radii are integrated here along each edge, by quadrature.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.joint.conditions import BoltAssembly
from holdwright.joint.fasteners.preload import preload, torque_for
from holdwright.joint.fasteners.stiffness import bolt_stiffness, joint_constant, member_stiffness
from holdwright.joint.fasteners.washer_bending import peak_of_mean
from holdwright.joint.holding.contact import contact_within
from holdwright.joint.holding.loads import Loads, Reach, load_of
from holdwright.joint.holding.pressure import ClampCone, settle
from holdwright.joint.holding.slip_and_spin import Demand, holding
from holdwright.ranges import Range

CATALOGUE = load_catalogue()
INCH, POUND = 25.4, 4.4482216152605
INCH_POUND = POUND * INCH / 1000.0
"""N m."""


def disc(radius: float, corners: int = 8192) -> np.ndarray:
    angle = np.linspace(0.0, 2 * np.pi, corners, endpoint=False)
    swell = math.sqrt(2 * math.pi / corners / math.sin(2 * math.pi / corners))
    return radius * swell * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def ring(outer: float, inner: float) -> list[np.ndarray]:
    return [disc(outer), disc(inner)[::-1]]


def clutch(outer: float, inner: float) -> float:
    """Friction radius of a disk clutch under even pressure (Shigley, section 16-5)."""
    return 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> np.ndarray:
    corners = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    return corners * (width / 2, height / 2) + (x, y)


def shigley_8_26(d: float, threads: float, friction: float) -> float:
    """Nut factor K from friction in thread and under the head, collar 1.5 d wide (equation 8-26)."""
    mean = (d + d - 1.299038 / threads) / 2
    lead = 1 / threads / math.pi / mean
    secant = 1 / math.cos(math.radians(30))
    thread = (lead + friction * secant) / (1 - friction * lead * secant)
    return mean / 2 / d * thread + 0.625 * friction


def test_shigley_example_8_3_bolt():
    # 3/4-16 UNF grade 5: preload 25 kip, load 6 kip, At 0.373 in2, kb 6.50 and km 13.8 Mlbf/in.
    constant = joint_constant(6.50, 13.8)
    assert round(constant, 3) == 0.320
    # The example's stresses, 67.02 and 72.17 kpsi, are 21 % and 15 % below the proof strength of grade 5.
    proof = look_up(CATALOGUE.strengths, "grade 5", "strength class").proof / 6.894757293
    assert (constant * 6.0 + 25.0) / 0.373 == pytest.approx(72.17, abs=0.02)
    assert [round(100 * (1 - stress / proof)) for stress in (67.02, 72.17)] == [21, 15]


def test_shigley_example_8_3_torque():
    torque = torque_for(25_000 * POUND, 0.2, 0.75 * INCH)
    assert torque / INCH_POUND == pytest.approx(3750.0)
    assert preload(torque, 0.2, 0.75 * INCH) / POUND == pytest.approx(25_000.0)
    # (c), by friction of 0.15: 3551 lbf in.
    factor = shigley_8_26(0.75, 16.0, 0.15)
    assert round(factor, 4) == 0.1894
    assert round(torque_for(25_000 * POUND, factor, 0.75 * INCH) / INCH_POUND) == 3551


def test_nut_factors_against_the_long_formula():
    # Zinc plated: friction of 0.12 to 0.24, classes B and C of VDI 2230, table A5 (from memory).
    zinc = look_up(CATALOGUE.nut_factors, "zinc plated", "nut factor")
    assert shigley_8_26(10 / INCH, INCH / 1.5, 0.12) == pytest.approx(zinc.low, abs=0.015)
    assert shigley_8_26(10 / INCH, INCH / 1.5, 0.24) == pytest.approx(zinc.high, abs=0.015)
    assert zinc.low < shigley_8_26(10 / INCH, INCH / 1.5, 0.15) < zinc.high


def test_nut_factors_bracket_ten_measured_bolts():
    # Shigley, table 8-14: preloads in kN of ten lubricated 1/2-20 UNF bolts (size from memory) at 90 N m.
    measured = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5]
    factor = look_up(CATALOGUE.nut_factors, "lubricated", "nut factor")
    for force in measured:
        assert preload(90.0, factor.high, 12.7) < force * 1000.0 < preload(90.0, factor.low, 12.7)


@pytest.mark.parametrize(
    ("screw", "strength", "proof"),
    [("M8 socket cap ISO 4762", "8.8", 21_200), ("M8 socket cap ISO 4762", "10.9", 30_400),
     ("M8 socket cap ISO 4762", "12.9", 35_500), ("M10 socket cap ISO 4762", "8.8", 33_700),
     ("M10 socket cap ISO 4762", "10.9", 48_100), ("M10 socket cap ISO 4762", "12.9", 56_300),
     ("M12 socket cap ISO 4762", "8.8", 48_900), ("M12 socket cap ISO 4762", "10.9", 70_000),
     ("M12 socket cap ISO 4762", "12.9", 81_800), ("3/8-16 socket cap ASME B18.3", "grade 5", 6_600 * POUND)],
)  # fmt: skip
def test_proof_loads(screw, strength, proof):
    # ISO 898-1 proof loads as printed, coarse threads, to three digits:
    # https://staging2.optimas.com/technical-resources/iso-metric-thread-proof-loads
    # The inch one is from memory of a table that rounds to hundreds of pounds.
    row = look_up(CATALOGUE.strengths, strength, "strength class")
    assert BoltAssembly(CATALOGUE.screw(screw), None, CATALOGUE.t_nuts[0], row).proof == pytest.approx(
        proof, rel=0.003
    )


@pytest.mark.parametrize(
    ("bearing", "members", "constant"), [(16, 30.2, 0.902), (20, 44.9, 0.861), (30, 88.3, 0.760)]
)
def test_stiffness_against_a_published_library(bearing, members, constant):
    # PyPI me_toolbox 0.0.18, ThreadedFastener.calc_member_stiffness: M10 through 25 mm PETG, 18 mm plywood.
    stiffness = member_stiffness(10.0, bearing, ((25.0, 2.1), (18.0, 8.0)))
    bolt = bolt_stiffness(CATALOGUE.thread("M10").stress_area, 43.0)
    assert round(stiffness / 1000, 1) == members
    assert round(bolt / 1000, 1) == 279.2
    assert round(joint_constant(bolt, stiffness), 3) == constant


def test_one_material_is_frusta_in_closed_form():
    # Shigley, equation 8-22: both frusta alike.
    d, bearing, grip, modulus = 10.0, 15.0, 40.0, 207.0
    slope = math.tan(math.radians(30))
    closed = (
        math.pi
        * modulus
        * 1000
        * d
        * slope
        / 2
        / math.log(
            (grip * slope + bearing - d) * (bearing + d) / ((grip * slope + bearing + d) * (bearing - d))
        )
    )
    assert member_stiffness(d, bearing, ((grip, modulus),)) == pytest.approx(closed)
    assert member_stiffness(d, bearing, ((13.0, modulus), (27.0, modulus))) == pytest.approx(closed)


FLAT = 1e6
"""Reach of a cone so wide that it presses evenly, mm."""

L_SHAPE = np.array([(-40, -40), (40, -40), (40, 0), (0, 0), (0, 40), (-40, 40)], dtype=np.float64)
HEXAGON = 50.0 * np.array([(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)])


@pytest.mark.parametrize(
    ("outer", "inner"), [(40.0, 5.5), (30.0, 5.5), (60.0, 5.5), (40.0, 25.0), (15.0, 5.5)]
)
def test_friction_radii_of_rings(outer, inner):
    pressure = settle(ring(outer, inner), [ClampCone(0.0, 0.0, FLAT)])
    assert pressure.friction_radius == pytest.approx(clutch(outer, inner), rel=2e-3)


@pytest.mark.parametrize("outline", [rectangle(80, 80), rectangle(120, 60), HEXAGON, L_SHAPE + 20.0 / 3.0])
def test_friction_radii_of_polygons(outline):
    # Over the triangle that an edge closes with the origin, r is s |p| at s times the edge's point p: its
    # integral is a third of the edge's cross product times the mean distance of the edge.
    distances = areas = 0.0
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        cross = start[0] * end[1] - start[1] * end[0]
        foot = float(np.clip(-start @ (end - start) / ((end - start) @ (end - start)), 0.0, 1.0))
        mean, _ = quad(lambda t, a=start, b=end: math.hypot(*(a + t * (b - a))), 0.0, 1.0, points=[foot])
        distances, areas = distances + cross * mean / 3, areas + cross / 2
    pressure = settle([outline], [ClampCone(0.0, 0.0, FLAT)])
    assert pressure.friction_radius == pytest.approx(distances / areas, rel=2e-3)


def exactly(value: float) -> Range:
    return Range(value, value, value)


def worked(clamp: float):
    """A round base of radius 40, hole of 11; 80 kg twice, 45 mm aside and 50 mm off the wall; mu 0.30."""
    contact = contact_within(ring(40.0, 5.5), [ClampCone(0.0, 0.0, FLAT, pressing=40.0)])
    down, place = np.array([[0.0, -1.0]]), np.array([[45.0, 0.0, 50.0]])
    reach = Reach(np.zeros(2), Loads(down, place))
    demand = Demand.of(contact, reach, load_of(80.0, 2.0))
    return holding(demand, contact.pressure.friction_radius, exactly(clamp), exactly(0.30))


@pytest.mark.parametrize("clamp", [12_500.0, 7_500.0])
def test_a_round_base_against_a_clutch_and_a_footing(clamp):
    weight = 80.0 * 9.80665 * 2.0
    held = worked(clamp)
    # A disk clutch under even pressure slips at mu F times its friction radius.
    assert held.spin.likely == pytest.approx(0.30 * clamp * clutch(40.0, 5.5) / (weight * 45.0), rel=1e-3)
    assert held.slip.likely == pytest.approx(0.30 * clamp / weight)
    # Pressed all over, a ring lifts at a moment of F (R^2 + r^2) / (4 R); it turns over its edge at F R.
    assert held.lift.likely == pytest.approx(
        clamp * (40.0**2 + 5.5**2) / (4 * 40.0) / (weight * 50.0), rel=0.01
    )
    assert held.overturning.likely == pytest.approx(clamp * 40.0 / (weight * 50.0), rel=1e-5)


def test_lift_of_a_rectangle_is_that_of_a_footing():
    # Under an even clamp, an eccentric footing lifts at an eccentricity of a sixth of its depth.
    contact = contact_within([rectangle(120.0, 60.0)], [ClampCone(0.0, 0.0, FLAT, pressing=30.0)])
    down, place = np.array([[0.0, -1.0]]), np.array([[0.0, 0.0, 50.0]])
    reach = Reach(np.zeros(2), Loads(down, place))
    assert 5000.0 * Demand.of(contact, reach, load_of(50.0, 1.0)).lift == pytest.approx(
        5000.0 * 60.0 / 6 / (50 * 9.80665 * 50.0), rel=0.01
    )


@pytest.mark.parametrize(("thickness", "elastic"), [(2.5, 2.35), (5.0, 1.20)])
def test_peak_under_a_washer_is_that_of_an_elastic_model(thickness, elastic):
    catalogue = load_catalogue()
    screw = catalogue.screw("M10 socket cap ISO 4762")
    washer = replace(catalogue.washer("M10 large washer ISO 7093"), thickness=thickness)
    assert peak_of_mean(screw, washer, 2000.0) == pytest.approx(elastic, rel=0.15)


def test_a_stiff_washer_and_a_bare_head_press_evenly():
    catalogue = load_catalogue()
    screw, washer = (
        catalogue.screw("M10 socket cap ISO 4762"),
        catalogue.washer("M10 large washer ISO 7093"),
    )
    assert peak_of_mean(screw, replace(washer, thickness=50.0), 2000.0) == pytest.approx(1.0, abs=1e-3)
    assert peak_of_mean(screw, None, 2000.0) == 1.0
    assert peak_of_mean(screw, washer, 4000.0) > peak_of_mean(screw, washer, 2000.0)
