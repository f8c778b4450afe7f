"""Wood screws against turning: groups in torsion, and Johansen's yield model worked by hand."""

import math

import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import CatalogueError
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.feature import ScrewHole, holes
from holdwright.joint.screws import ScrewHeld, screws_held, screws_needed, shear_capacity, torque_held
from shapes import block

FIVE = "5 mm countersunk wood screw"


def hole(x: float, y: float, tilt: float = 0.0, screw: str = FIVE) -> ScrewHole:
    return ScrewHole(x, y, lean(tilt, 30.0), 5.5, 10.4, 90.0, 15.0, 15.0, screw)


def held(*holes: ScrewHole) -> tuple[ScrewHeld, ...]:
    catalogue = load_catalogue()
    return screws_held(holes, (0.0, 0.0), catalogue, catalogue.panels[0], 30.0)


def test_one_screw_carries_its_capacity_times_its_lever():
    (screw,) = held(hole(30.0, 40.0))
    catalogue = load_catalogue()
    assert screw.lever == 50.0
    assert screw.capacity == shear_capacity(screw.row, catalogue.panels[0], 30.0)
    assert torque_held([screw]) == pytest.approx(screw.capacity * 0.050)


def test_capacity_of_a_five_millimetre_screw_worked_by_hand():
    # EN 1995-1-1, equation 8.6 f from memory: d = 1.1 x 3.2 mm, My = 0.3 x 400 x d^2.6, f2 = 0.11 rho d^-0.3.
    catalogue = load_catalogue()
    (screw,) = held(hole(40.0, 0.0))
    d, density = 1.1 * 3.2, catalogue.panels[0].density * 1000.0
    moment, wood = 0.3 * 400.0 * d**2.6, 0.11 * density * d**-0.3
    beta = wood / 30.0
    told = 1.15 * math.sqrt(2 * beta / (1 + beta)) * math.sqrt(2 * moment * 30.0 * d) / 1.3
    assert screw.capacity == pytest.approx(told, rel=1e-12)
    assert 500.0 < told < 2500.0


def test_a_group_shares_by_lever_and_the_farthest_reaches_its_capacity_first():
    # F = M r / sum r^2: with levers 20 and 40 the far one bears twice the force of the near one.
    near, far = held(hole(20.0, 0.0), hole(-40.0, 0.0))
    torque = torque_held([near, far])
    assert torque == pytest.approx(far.capacity * (40.0**2 + 20.0**2) / 40.0 / 1000.0)
    assert torque < (near.capacity * 20.0 + far.capacity * 40.0) / 1000.0
    assert torque_held([far, far]) == pytest.approx(2.0 * torque_held([far]))
    assert torque_held([]) == torque_held(held(hole(0.0, 0.0))) == 0.0


def test_screws_present_are_taken_off_those_needed():
    (screw,) = held(hole(40.0, 0.0))
    one = torque_held([screw])
    needed = [
        screws_needed(1.5 * one - torque_held([screw] * present), 40.0, screw.capacity)
        for present in (0, 1, 2)
    ]
    assert needed == [2, 1, 0]


def test_a_leaning_screw_carries_less_across_and_an_unknown_one_is_named():
    straight, leaning = held(hole(40.0, 0.0), hole(40.0, 0.0, 30.0))
    assert leaning.capacity == pytest.approx(straight.capacity * math.cos(math.radians(30.0)))
    with pytest.raises(CatalogueError, match="wood screw 'brass nail'"):
        held(hole(1.0, 1.0, screw="brass nail"))


def test_nothing_within_a_screw_hole_counts_as_grip():
    whole = block(160.0, 140.0, 40.0)
    made = hole(50.0, 0.0, 20.0)
    cut = cut_hole(whole, made.hole, 60.0).solid
    columns = holes([made])
    middles = Mesh.joined(HoldSurface(cut.mesh, columns).grip()).corners.mean(axis=1)
    assert len(middles)
    assert not columns[0].on_surface(middles, -0.05).any()
    unaware = Mesh.joined(HoldSurface(cut.mesh).grip())
    assert columns[0].on_surface(unaware.corners.mean(axis=1)).any()
