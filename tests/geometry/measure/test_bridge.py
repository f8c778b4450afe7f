"""The widest bridge of a ceiling, against closed forms."""

import numpy as np
import pytest

from holdwright.geometry.measure.bridge import widest_bridge
from holdwright.geometry.mesh.circle import circle_points


def rectangle(width: float, height: float, turn: float = 0.0, at=(0.0, 0.0)) -> np.ndarray:
    corners = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * (width / 2, height / 2)
    angle = np.radians(turn)
    return corners @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]) + at


@pytest.mark.parametrize("turn", [0.0, 25.0, 90.0])
def test_a_rectangle_is_bridged_across_its_shorter_side(turn):
    span, place = widest_bridge([rectangle(80.0, 30.0, turn, (7.0, 2.0))])
    assert span == pytest.approx(30.0, rel=1e-3)
    assert np.hypot(*(place - (7.0, 2.0))) < 40.5


def test_a_disc_is_bridged_by_its_diameter_and_a_ring_beside_its_hole():
    disc = circle_points(40.0, 512)
    assert widest_bridge([disc])[0] == pytest.approx(80.0, rel=1e-3)
    chord = 2.0 * np.sqrt(40.0**2 - 15.0**2)
    assert widest_bridge([disc, circle_points(15.0, 512)[::-1]])[0] == pytest.approx(chord, rel=0.01)


def test_of_several_ceilings_the_worst_counts():
    small, large = rectangle(20.0, 10.0), rectangle(50.0, 18.0, at=(100.0, 0.0))
    span, place = widest_bridge([small, large])
    assert span == pytest.approx(18.0, rel=1e-3)
    assert place[0] > 70.0


def test_an_l_is_bridged_by_its_longer_leg_at_most():
    """In the best direction a leg is run along or both are crossed; along a leg is worse than slantwise."""
    corner = np.array([[0, 0], [60, 0], [60, 20], [20, 20], [20, 50], [0, 50]], dtype=float)
    span, _ = widest_bridge([corner])
    assert 20.0 < span <= 50.0
