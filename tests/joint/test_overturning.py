"""The edge that lifts first, against the card's own figure."""

import numpy as np
import pytest

from holdwright.geometry.mesh.mesh import Mesh
from holdwright.joint.holding.contact import contact_within
from holdwright.joint.holding.loadable import loads_on
from holdwright.joint.holding.loads import Load, Reach
from holdwright.joint.holding.overturning import lifting
from holdwright.joint.holding.pressure import ClampCone
from holdwright.joint.holding.slip_and_spin import Demand

WIDE, TALL, HIGH = 120.0, 100.0, 40.0


def contact(x: float = 0.0, y: float = 0.0):
    """A plain rectangle, its bolt so far off the middle."""
    corners = np.array([[-WIDE, -TALL], [WIDE, -TALL], [WIDE, TALL], [-WIDE, TALL]]) / 2
    return contact_within([corners - (x, y)], [ClampCone(0.0, 0.0, 30.0, pressing=15.0)])


def ledge(z: float = HIGH):
    """A level grip on top of the rectangle, loaded at its middle by whoever hangs on it."""
    a, b, c = (-1.0, 50.0, z), (-1.0, 50.0, z - 6.0), (30.0, 50.0, z - 6.0)
    top = Mesh.of_corners(np.array([[a, c, b], [a, (30.0, 50.0, z), c]])[:, ::-1])
    return Reach(np.zeros(2), loads_on(top).one_way_up)


@pytest.mark.parametrize(("x", "y", "outward"), [(0.0, 0.0, 0.0), (5.0, -6.0, 0.0), (-4.0, 3.0, 300.0)])
def test_safety_is_the_cards_and_the_upper_side_lifts_up_to_the_washer(x, y, outward):
    base, load = contact(x, y), Load(900.0, outward)
    found = lifting(base, ledge(), load, 4000.0)
    assert found.safety == pytest.approx(4000.0 * Demand.of(base, ledge(), load).lift)
    a, *slope = found.line
    assert np.hypot(*slope) == pytest.approx(1.0)
    assert a == pytest.approx(15.0)  # touches the washer
    assert found.corner[1] == pytest.approx(TALL / 2 - y)
    assert a + found.corner @ slope < 0.0


def test_a_bolt_within_its_washer_of_the_edge_hardly_presses_beyond_it():
    near, middle = (lifting(contact(0.0, y), ledge(), Load(900.0, 0.0), 4000.0) for y in (-49.0, 0.0))
    assert near.safety < 0.5 * middle.safety


def test_without_a_load_nothing_lifts():
    assert lifting(contact(), ledge(), Load(0.0, 0.0), 4000.0) is None
