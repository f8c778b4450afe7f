"""Bolt length, seats, screws, stiffness and the shares of preload."""

from dataclasses import astuple

import pytest

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.errors import ParameterError
from holdwright.joint.bearing import seat_area
from holdwright.joint.bolt_length import Stack, bolt_length
from holdwright.joint.preload import preload, tightened, torque_for
from holdwright.ranges import Range

CATALOGUE = load_catalogue()
M10 = CATALOGUE.screw("M10 socket cap ISO 4762")


def test_next_nominal_length():
    # 25 + 2.5 + (18 - 11) + 8 = 42.5, so 45, of which 10.5 of the barrel's 11 mm engage.
    found = bolt_length(Stack(25.0, 2.5, 18.0, 11.0, 20.0), 10.0, M10.lengths)
    assert (found.length, found.shortest, found.engagement) == (45.0, 42.5, 10.5)
    assert found.too_long == 0.0


def test_exact_length_needs_no_longer_one():
    assert bolt_length(Stack(25.0, 0.0, 18.0, 11.0, 0.0), 10.0, (40.0, 45.0)).length == 40.0


def test_too_long_and_not_long_enough():
    assert bolt_length(Stack(25.0, 2.5, 18.0, 11.0, 2.0), 10.0, (55.0,)).too_long == pytest.approx(7.5)
    assert bolt_length(Stack(25.0, 2.5, 18.0, 11.0, 2.0), 10.0, (40.0,)).length is None


def test_barrel_longer_than_the_panel():
    with pytest.raises(ParameterError, match="barrel of 11 mm was asked for in a panel of 9 mm"):
        bolt_length(Stack(25.0, 2.5, 9.0, 11.0, 2.0), 10.0, M10.lengths)


def test_preload_is_bounded_on_both_sides():
    factor = look_up(CATALOGUE.nut_factors, "zinc plated", "nut factor")
    force = tightened(12.0, factor, 10.0, 1000.0, Range(0.5, 0.6, 0.8))
    assert astuple(force.tightened) == pytest.approx((4000.0, 6000.0, 8000.0))
    assert astuple(force.residual) == pytest.approx((2000.0, 3600.0, 6400.0))
    assert torque_for(preload(12.0, 0.2, 10.0), 0.2, 10.0) == pytest.approx(12.0)
    # Crushed above 25 MPa: 8000 N on 300 mm2.
    crushed = tightened(12.0, factor, 10.0, 300.0, Range(0.3, 0.6, 0.8)).residual
    assert astuple(crushed) == pytest.approx((1200.0, 2400.0, 3200.0))


def test_a_washer_carries_from_the_wider_hole_on():
    washer = CATALOGUE.washer("M10 extra large washer ISO 7094")
    assert seat_area(M10, washer, 10.5) == seat_area(M10, washer, 11.0)
    assert seat_area(M10, washer, 12.0) < seat_area(M10, washer, 11.0)
    assert seat_area(M10, None, 11.0) < 106.029  # the bearing face is narrower than the head
