"""Wood screws against turning: groups in torsion, sites for further ones, and bolts that lock each other."""

import math
from itertools import combinations

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import CatalogueError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.feature import Bore, ScrewHole
from holdwright.joint.card.screws import Ground, ScrewHeld, screws_held, screws_needed, torque_held
from holdwright.joint.holding.screw_sites import screw_sites
from shapes import block

BORES = (Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, "M10 socket cap ISO 4762", None),)
PLATE = block(140.0, 100.0, 40.0)
FIVE = "5 mm countersunk wood screw"


def hole(x: float, y: float, tilt: float = 0.0, screw: str = FIVE) -> ScrewHole:
    return ScrewHole(x, y, lean(tilt, 30.0), 5.5, 10.4, 90.0, 15.0, 15.0, screw)


def held(*holes: ScrewHole) -> tuple[ScrewHeld, ...]:
    catalogue = load_catalogue()
    return screws_held(holes, (0.0, 0.0), catalogue, Ground(catalogue.panels[0], 30.0))


def test_one_screw_carries_its_capacity_times_its_lever():
    (screw,) = held(hole(30.0, 40.0))
    catalogue = load_catalogue()
    assert screw.lever == 50.0
    assert screw.capacity == Ground(catalogue.panels[0], 30.0).screw(screw.row, 15.0).force
    assert torque_held([screw]) == pytest.approx(screw.capacity * 0.050)


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
    needed = [screws_needed(1.5 * one, [screw] * present, [screw] * 3) for present in (0, 1, 2)]
    assert needed == [2, 1, 0]
    assert screws_needed(0.0, [], []) == screws_needed(-1.0, [], []) == 0
    assert screws_needed(3.5 * one, [], [screw] * 3) is None


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


def sites_of(solid: Solid, *screws: ScrewHole) -> Floats:
    return np.array([(each.x, each.y) for each in screw_sites(solid, BORES, screws)]).reshape(-1, 2)


def test_sites_are_clear_of_edge_pocket_and_each_other():
    found = sites_of(PLATE)
    assert len(found) == 6
    assert (np.abs(found) <= np.array([70.0, 50.0]) - 10.0).all()
    assert (np.hypot(*found.T) >= 15.5 + 8.0).all()
    apart = [math.dist(one, other) for one, other in combinations(found, 2)]
    assert min(apart) >= 25.0
    # The farthest come first: two corners, the second away from the first.
    assert np.hypot(*found[0]) == pytest.approx(np.hypot(60.0, 40.0), rel=0.1)
    assert math.dist(found[0], found[1]) > 100.0
    heights = {each.height for each in screw_sites(PLATE, BORES, ())}
    assert heights == {40.0}


def test_present_screws_and_hollows_take_sites_and_a_relieved_back_does_not():
    first = sites_of(PLATE)[0]
    beside = sites_of(PLATE, hole(*first))
    assert np.hypot(*(beside - first).T).min() >= 25.0
    hollow = PLATE.kernel - block(60.0, 96.0, 40.0).kernel.translate((-40.0, 0.0, 0.0))
    assert (sites_of(Solid.checked(hollow))[:, 0] > 0.0).all()
    relieved = PLATE.kernel - block(116.0, 76.0, 2.0).kernel.translate((0.0, 0.0, -1.0))
    assert len(sites_of(Solid.checked(relieved))) == 6
    assert len(sites_of(block(44.0, 44.0, 40.0))) == 0
    assert len(sites_of(block(140.0, 100.0, 8.0))) == 0
