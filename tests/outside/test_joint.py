"""Joint figures beside published worked examples and closed forms.

Sources: Shigley, Mechanical Engineering Design, 9th edition, chapter 8 (example 8-3, table 8-14, equations
8-20 and 8-26; example 8-3 (b) and (c) from memory) and section 16-5 (disk
clutches, from memory); ISO 898-1 proof loads by a public page; statics of eccentric footings, any text.
Polygons' friction radii were integrated once over ten million cells by a program of their own.
"""

import math

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.joint.bearing import ring_area
from holdwright.joint.contact import contact_within
from holdwright.joint.load import load_of
from holdwright.joint.load_points import Reach
from holdwright.joint.preload import preload, torque_for
from holdwright.joint.pressure import even_friction_radius
from holdwright.joint.slip_and_spin import holding
from holdwright.joint.stiffness import bolt_stiffness, joint_constant, member_stiffness

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
    assert round(25.0 / 0.373, 2) == 67.02
    assert round((0.320 * 6.0 + 25.0) / 0.373, 2) == 72.17
    # Below the proof strength of grade 5, 85 kpsi, by 21 % just tightened and 15 % under the load.
    proof = next(row for row in CATALOGUE.strengths if row.name == "grade 5").proof / 6.894757293
    assert round(100 * (1 - 25.0 / 0.373 / proof)) == 21
    assert round(100 * (1 - 72.17 / proof)) == 15


def test_shigley_example_8_3_torque():
    torque = torque_for(25_000 * POUND, 0.2, 0.75 * INCH)
    assert torque / INCH_POUND == pytest.approx(3750.0)
    assert preload(torque, 0.2, 0.75 * INCH) / POUND == pytest.approx(25_000.0)
    # (c), by friction of 0.15: 3551 lbf in.
    factor = shigley_8_26(0.75, 16.0, 0.15)
    assert round(factor, 4) == 0.1894
    assert round(torque_for(25_000 * POUND, factor, 0.75 * INCH) / INCH_POUND) == 3551


def test_nut_factors_against_the_long_formula():
    # Lubricated to dry: friction classes B to C of VDI 2230, 0.08 to 0.24 (from a public page).
    zinc = look_up(CATALOGUE.nut_factors, "zinc plated", "nut factor")
    assert shigley_8_26(10 / INCH, INCH / 1.5, 0.12) == pytest.approx(zinc.low, abs=0.015)
    assert shigley_8_26(10 / INCH, INCH / 1.5, 0.24) == pytest.approx(zinc.high, abs=0.015)
    assert zinc.low < shigley_8_26(10 / INCH, INCH / 1.5, 0.15) < zinc.high


def test_nut_factors_bracket_ten_measured_bolts():
    # Shigley, table 8-14: preloads in kN of ten lubricated 1/2-20 UNF bolts (size from memory) at 90 N m.
    measured = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5]
    assert np.mean(measured) == pytest.approx(34.18)
    assert np.std(measured, ddof=1) == pytest.approx(2.88, abs=0.005)
    factor = look_up(CATALOGUE.nut_factors, "lubricated", "nut factor")
    for force in measured:
        assert preload(90.0, factor.high, 12.7) < force * 1000.0 < preload(90.0, factor.low, 12.7)


@pytest.mark.parametrize(
    ("screw", "strength", "proof"),
    [("M8", "8.8", 21_233), ("M10", "8.8", 33_634), ("M12", "8.8", 48_875), ("M10", "10.9", 48_131),
     ("M10", "12.9", 56_250), ("3/8-16", "grade 5", 29_299)],
)  # fmt: skip
def test_proof_loads(screw, strength, proof):
    stress = next(row for row in CATALOGUE.strengths if row.name == strength).proof
    assert stress * CATALOGUE.thread(screw).stress_area == pytest.approx(proof, rel=1e-4)


def test_a_seventy_percent_preload_in_si_units():
    # A public page's M12 8.8 at 70 % of proof, K 0.2: about 34 kN and 82 N m.
    force = 0.7 * 580.0 * 84.3
    assert force == pytest.approx(34_226, abs=1)
    assert torque_for(force, 0.2, 12.0) == pytest.approx(82.14, abs=0.01)


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


@pytest.mark.parametrize(
    ("outlines", "radius"),
    [
        (ring(40.0, 5.5), 27.1098901),
        (ring(30.0, 5.5), 20.5680751),
        (ring(60.0, 5.5), 40.3078880),
        (ring(40.0, 25.0), 33.0769231),
        (ring(15.0, 5.5), 10.9837398),
    ],
)
def test_friction_radii_of_rings(outlines, radius):
    # Shigley, section 16-5, even pressure: 2 / 3 (R^3 - r^3) / (R^2 - r^2).
    outer, inner = (float(np.hypot(*each[0])) for each in outlines)
    closed = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
    assert closed == pytest.approx(radius, rel=1e-6)
    assert even_friction_radius(outlines) == pytest.approx(radius, abs=1e-5)


L_SHAPE = np.array([(-40, -40), (40, -40), (40, 0), (0, 0), (0, 40), (-40, 40)], dtype=np.float64)
TRIANGLE = np.array([(0, 0), (100, 0), (30, 80)], dtype=np.float64)
HEXAGON = 50.0 * np.array([(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)])


@pytest.mark.parametrize(
    ("outlines", "radius"),
    [
        ([rectangle(80, 80)], 30.6078287),
        ([rectangle(120, 60)], 35.5940050),
        ([rectangle(120, 60, 30, -10)], 43.9007498),
        ([HEXAGON], 30.3993203),
        ([TRIANGLE - TRIANGLE.mean(axis=0)], 25.8346023),
        ([L_SHAPE + 10.0], 29.0637719),
    ],
)
def test_friction_radii_of_polygons(outlines, radius):
    assert even_friction_radius(outlines) == pytest.approx(radius, abs=1e-7)


def test_friction_radius_of_a_square_with_a_hole():
    square = 80.0 / 6.0 * (math.sqrt(2) + math.asinh(1))
    assert even_friction_radius([rectangle(80, 80)]) == pytest.approx(square)
    assert even_friction_radius([rectangle(80, 80), disc(5.5)[::-1]]) == pytest.approx(31.0139060, abs=1e-6)


@pytest.mark.parametrize(
    ("outer", "force", "pressure"), [(20, 12_500, 57.0448), (30, 12_500, 20.4307), (16, 12_500, 117.9)]
)
def test_seat_pressures(outer, force, pressure):
    assert force / ring_area(outer, 11.0) == pytest.approx(pressure, abs=0.05 if outer == 16 else 5e-5)


def worked(clamp: float):
    """A round base of radius 40, hole of 11; 80 kg twice, 45 mm aside and 50 mm off the wall; mu 0.30."""
    contact = contact_within(ring(40.0, 5.5), 16.0)
    down, place = np.array([[0.0, -1.0]]), np.array([[45.0, 0.0, 50.0]])
    reach = Reach(np.zeros(2), down, np.array([45.0]), place, np.array([50.0]), place)
    return holding(contact, reach, load_of(80.0, 2.0), clamp, 0.30)


def test_a_round_base_worked_by_hand():
    load = load_of(80.0, 2.0)
    assert load.along == pytest.approx(1569.064)
    assert preload(25.0, 0.2, 10.0) == pytest.approx(12_500.0)
    held, crept = worked(12_500.0), worked(7_500.0)
    assert held.applied_torque == pytest.approx(70.6079, abs=5e-5)
    assert held.friction_torque == pytest.approx(101.6621, abs=1e-3)
    assert (held.spin, crept.spin) == pytest.approx((1.43981, 60.9973 / 70.6079), abs=2e-5)
    assert (held.slip, crept.slip) == pytest.approx((2.38996, 1.43398), abs=2e-5)
    # Lift-off of a ring: F (R^2 + r^2) / (4 R).
    moment = 12_500.0 * (40.0**2 + 5.5**2) / (4 * 40.0)
    assert moment / 1000 == pytest.approx(127.36328)
    assert (held.lift, crept.lift) == pytest.approx((1.62343, 0.97406), abs=2e-5)
    assert (held.overturning, crept.overturning) == pytest.approx((6.37323, 3.82394), abs=2e-4)
    assert held.pry == pytest.approx(1961.33, abs=0.05)


def test_lift_of_a_rectangle_is_that_of_a_footing():
    # An eccentric footing lifts at an eccentricity of a sixth of its depth.
    contact = contact_within([rectangle(120.0, 60.0)], 16.0)
    down, place = np.array([[0.0, -1.0]]), np.array([[0.0, 0.0, 50.0]])
    reach = Reach(np.zeros(2), down, np.array([0.0]), place, np.array([50.0]), place)
    held = holding(contact, reach, load_of(50.0, 1.0), 5000.0, 0.3)
    assert held.lift == pytest.approx(5000.0 * 60.0 / 6 / (50 * 9.80665 * 50.0))
