"""Bolt length, seats, screws, stiffness and the shares of preload."""

from dataclasses import astuple

import pytest

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.errors import ParameterError
from holdwright.joint.conditions import conditions
from holdwright.joint.fasteners.bearing import seat_area
from holdwright.joint.fasteners.bolt_length import Stack, bolt_length
from holdwright.joint.fasteners.preload import capped, preload, tightened, torque_for
from holdwright.joint.joint_parameters import JointParameters
from holdwright.ranges import Range

CATALOGUE = load_catalogue()
M10 = CATALOGUE.screw("M10 socket cap ISO 4762")


def test_next_nominal_length_at_worst():
    # 25.3 + 2.7 + 18.74 of panel (0.2 + 0.03 x 18), less the barrel's 11, and 1.5 of the bolt's end: 37.24.
    found = bolt_length(Stack(25.0, 2.5, 18.0, 11.0, 20.0), 10.0, 1.5, M10.lengths)
    assert (found.length, found.engagement) == (50.0, 11.0)
    assert found.shortest == pytest.approx(37.24 + 8.0 + 0.5)
    assert astuple(found.stand_out) == pytest.approx((49.5 - 46.74, 4.5, 50.5 - 44.06))
    assert found.too_long == 0.0


def test_a_bolt_shorter_by_next_to_nothing_does_not_do():
    stack = Stack(25.0, 0.0, 18.0, 11.0, 0.0)
    least = 25.3 + 18.74 - 11.0 + 1.5 + 8.0 + 0.5
    assert bolt_length(stack, 10.0, 1.5, (least, 60.0)).engagement == pytest.approx(8.0)
    assert bolt_length(stack, 10.0, 1.5, (least - 0.0003, 60.0)).length == 60.0


def test_too_long_and_not_long_enough():
    stack = Stack(25.0, 2.5, 18.0, 11.0, 2.0)
    assert bolt_length(stack, 10.0, 1.5, (55.0,)).too_long == pytest.approx(55.6 - 44.06 - 2.0)
    none = bolt_length(stack, 10.0, 1.5, (40.0,))
    assert (none.length, none.stand_out) == (None, None)


def test_barrel_longer_than_the_panel():
    with pytest.raises(ParameterError, match="barrel of 11 mm was asked for in a panel of 9 mm"):
        bolt_length(Stack(25.0, 2.5, 9.0, 11.0, 2.0), 10.0, 1.5, M10.lengths)


def test_preload_is_bounded_on_both_sides():
    factor = look_up(CATALOGUE.nut_factors, "zinc plated", "nut factor")
    force = tightened(12.0, factor, 10.0, 1000.0, Range(0.5, 0.6, 0.8))
    assert astuple(force.tightened) == pytest.approx((4000.0, 6000.0, 8000.0))
    assert astuple(force.residual) == pytest.approx((2000.0, 3600.0, 6400.0))
    assert torque_for(preload(12.0, 0.2, 10.0), 0.2, 10.0) == pytest.approx(12.0)
    # Crushed above 25 MPa: 8000 N on 300 mm2.
    crushed = tightened(12.0, factor, 10.0, 300.0, Range(0.3, 0.6, 0.8)).residual
    assert astuple(crushed) == pytest.approx((1200.0, 2400.0, 3200.0))


def test_what_is_tightened_past_yield_does_not_hold():
    assert astuple(capped(Range(1.0, 5.0, 9.0), 6.0, 4.0)) == (1.0, 4.0, 4.0)
    factor = look_up(CATALOGUE.nut_factors, "zinc plated", "nut factor")
    force = tightened(60.0, factor, 10.0, 600.0, Range(0.5, 0.6, 0.8), 45.0 * 600.0)
    assert astuple(force.tightened) == pytest.approx((20e3, 30e3, 40e3))
    # 45 MPa on 600 mm2 are 27 kN, of which 0.4 stays once the seat is crushed.
    assert astuple(force.residual) == pytest.approx((8e3, 10.8e3, 10.8e3))
    torques = [
        conditions(CATALOGUE, JointParameters(torque=each)).preload(M10, 611.8) for each in (60.0, 90.0)
    ]
    assert torques[0].residual.high == pytest.approx(torques[1].residual.high)
    assert torques[0].high < torques[1].high


def test_what_sinks_the_flange_into_the_panel_does_not_hold():
    usual = conditions(CATALOGUE, JointParameters(torque=20.0))
    nut = look_up(CATALOGUE.t_nuts, "M10 pronged T-nut, barrel 11", "T-nut")
    seat, both = usual.preload(M10, 611.8), usual.preload(M10, 611.8, nut)
    assert both.tightened == seat.tightened
    # 5.4 MPa on all of plywood; a flange of 25 mm spreads at 45 degrees through 18 mm of it.
    bears = 5.4 * (1.0 + 2.0 * 18.0 / 25.0)
    assert both.residual.likely == pytest.approx(bears * nut.bearing_area * usual.residual.likely)
    assert both.residual.likely < seat.residual.likely


def test_a_washer_carries_from_the_wider_hole_on():
    washer = CATALOGUE.washer("M10 extra large washer ISO 7094")
    assert seat_area(M10, washer, 10.5) == seat_area(M10, washer, 11.0)
    assert seat_area(M10, washer, 12.0) < seat_area(M10, washer, 11.0)
    assert seat_area(M10, None, 11.0) < 106.029  # the bearing face is narrower than the head
