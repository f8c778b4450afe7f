"""The edge that lifts first, against the statics of a footing and the card's own figure."""

import numpy as np
import pytest

from holdwright.geometry.mesh.mesh import Mesh
from holdwright.joint.contact import contact_within
from holdwright.joint.loadable import loads_on
from holdwright.joint.loads import Load, Reach
from holdwright.joint.overturning import lifting
from holdwright.joint.pressure import ClampCone
from holdwright.joint.slip_and_spin import Demand

WIDE, TALL, HIGH = 120.0, 100.0, 40.0


def contact(x: float = 0.0, y: float = 0.0):
    """A plain rectangle, its bolt so far off the middle."""
    corners = np.array([[-WIDE, -TALL], [WIDE, -TALL], [WIDE, TALL], [-WIDE, TALL]]) / 2
    return contact_within([corners - (x, y)], [ClampCone(0.0, 0.0, 30.0)])


def ledge(z: float = HIGH):
    """A level grip on top of the rectangle, loaded at its middle by whoever hangs on it."""
    a, b, c = (-1.0, 50.0, z), (-1.0, 50.0, z - 6.0), (30.0, 50.0, z - 6.0)
    top = Mesh.of_corners(np.array([[a, c, b], [a, (30.0, 50.0, z), c]])[:, ::-1])
    return Reach(np.zeros(2), loads_on(top).one_way_up)


@pytest.mark.parametrize(("x", "y", "outward"), [(0.0, 0.0, 0.0), (5.0, -6.0, 0.0), (-4.0, 3.0, 300.0)])
def test_safety_is_the_cards_and_the_pressure_ends_at_the_corner(x, y, outward):
    base, grip, load = contact(x, y), ledge(), Load(900.0, outward)
    found = lifting(base, grip, load, 4000.0)
    assert found.safety == pytest.approx(4000.0 * Demand.of(base, grip, load).lift)
    just = lifting(base, grip, Load(900.0 * found.safety, outward * found.safety), 4000.0)
    a, *slope = just.plane
    pressures = a + base.hull @ slope
    assert pressures.min() == pytest.approx(0.0, abs=1e-9)
    assert a + just.corner @ slope == pytest.approx(0.0, abs=1e-9)
    # Of two corners that lift alike, either is the first.
    assert np.abs(just.corner) == pytest.approx(np.abs(found.corner))


def test_pressure_under_load_carries_the_load():
    """Force and moments about the bolt of the linear pressure are those of clamp and load (equilibrium)."""
    base, grip, load, clamp = contact(5.0, -6.0), ledge(), Load(900.0, 0.0), 4000.0
    a, *slope = lifting(base, grip, load, clamp).plane
    force = base.area * (a + base.centre @ slope)
    moment = base.area * (a * base.centre + (base.spread + np.outer(base.centre, base.centre)) @ slope)
    assert force == pytest.approx(clamp)
    assert np.hypot(*moment) == pytest.approx(load.along * HIGH, rel=1e-6)


def test_a_bolt_far_off_the_middle_does_not_press_one_corner_at_all():
    base = contact(40.0, 30.0)
    found = lifting(base, ledge(), Load(900.0, 0.0), 4000.0)
    assert found.safety == 0.0
    assert found.corner == pytest.approx((-WIDE / 2 - 40.0, -TALL / 2 - 30.0))


def test_without_a_load_nothing_lifts():
    assert lifting(contact(), ledge(), Load(0.0, 0.0), 4000.0) is None
