"""Fasteners in single shear against their statics, solved for each mode, and against closed forms.

Johansen (1949): both members crush at a constant pressure, the shank bends at a constant moment. Only the
factors 1.05 and 1.15 of EN 1995-1-1, 8.2.2, are taken from memory; the modes themselves are derived here.
"""

import math

import pytest
from scipy.optimize import brentq

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.joint.card.screws import Ground
from holdwright.joint.fasteners.single_shear import PARTIAL, single_shear

CATALOGUE = load_catalogue()
FIVE = look_up(CATALOGUE.wood_screws, "5 mm countersunk wood screw", "wood screw")
PANEL = look_up(CATALOGUE.panels, "18 mm plywood", "panel")


def statics(d: float, moment: float, strengths: tuple[float, float], depths: tuple[float, float]) -> dict:
    """Force of each mode from equilibrium of shear F and moment at the face between both members."""

    def rigid(strength: float, depth: float, force: float) -> float:
        """Moment at the face where the shank turns in a member: it presses ahead, then behind."""
        line = strength * d
        return line * (((depth + force / line) / 2) ** 2 - depth**2 / 2)

    def bent(strength: float, force: float) -> float:
        """Moment at the face where the shank bends at the place without shear."""
        return force**2 / (2 * strength * d) - moment

    (f1, f2), (t1, t2) = strengths, depths
    modes = {
        "c": lambda force: rigid(f1, t1, force) + rigid(f2, t2, force),
        "d": lambda force: rigid(f1, t1, force) + bent(f2, force),
        "e": lambda force: bent(f1, force) + rigid(f2, t2, force),
        "f": lambda force: bent(f1, force) + bent(f2, force),
    }
    factors = {"c": 1.0, "d": 1.05, "e": 1.05, "f": 1.15}
    found = {"a": f1 * t1 * d, "b": f2 * t2 * d}
    for mode, balance in modes.items():
        found[mode] = factors[mode] * brentq(balance, 0.0, 1e6, xtol=1e-10)
    return found


@pytest.mark.parametrize(
    ("depths", "mode"),
    [((4.0, 18.0), "a"), ((40.0, 3.0), "b"), ((6.0, 5.0), "c"), ((15.0, 18.0), "d"), ((40.0, 7.0), "e"),
     ((40.0, 18.0), "f")],
)  # fmt: skip
def test_the_least_mode_is_that_of_the_statics(depths, mode):
    # A 5 mm screw by hand: d = 1.1 x 3.2 = 3.52 mm, My = 0.3 x 400 x 3.52^2.6 = 3164 N mm, PETG 27 MPa,
    # plywood of 650 kg/m3 0.11 x 650 x 3.52^-0.3 = 49.0 MPa.
    d, moment, strengths = 3.52, 3163.7, (27.0, 49.017)
    modes = statics(d, moment, strengths, depths)
    found = single_shear(d, moment, strengths, depths)
    assert found.mode == mode == min(modes, key=lambda each: modes[each])
    assert found.force == pytest.approx(modes[mode] / PARTIAL, rel=1e-6)


def test_both_members_changed_for_each_other_carry_the_same():
    for depths in ((12.0, 18.0), (6.0, 30.0), (25.0, 9.0)):
        one = single_shear(4.0, 5000.0, (30.0, 45.0), depths)
        other = single_shear(4.0, 5000.0, (45.0, 30.0), depths[::-1])
        assert one.force == pytest.approx(other.force)


def test_a_five_millimetre_screw_worked_by_hand():
    ground = Ground(PANEL, 27.0)
    # Deep in the hold both sides bend it, beta = 1.815:
    # 1.15 sqrt(2 x 1.815 / 2.815) sqrt(2 x 3164 x 27 x 3.52) / 1.3 = 779 N.
    deep = ground.screw(FIVE, 40.0)
    assert (deep.mode, round(deep.force)) == ("f", 779)
    # Under a head of 6.5 mm the plastic is crushed all along: 27 x 6.5 x 3.52 / 1.3 = 475 N.
    thin = ground.screw(FIVE, 6.5)
    assert (thin.mode, round(thin.force)) == ("a", 475)
    # 18 mm of plywood are less than six diameters: it goes through. 40 + (10.4 - 5.5) / 2 + 18 = 60.5, so 65.
    assert ground.penetration(FIVE) == 18.0
    assert ground.length(FIVE, 40.0) == 65.0
    assert ground.length(FIVE, 14.0) == 35.0


def test_two_hinges_in_like_members_is_the_textbooks_closed_form():
    # beta = 1: F = 1.15 sqrt(2 My f d).
    found = single_shear(4.0, 5000.0, (40.0, 40.0), (60.0, 60.0))
    assert found.force == pytest.approx(1.15 * math.sqrt(2 * 5000.0 * 40.0 * 4.0) / PARTIAL)
