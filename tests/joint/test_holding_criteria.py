"""How a hold would stay put wherever it were bored, against its card once it is bored there."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.place_figures import LIMITS
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.joint.holding.loadable import loads_on
from holdwright.joint.holding.loads import Reach
from holdwright.joint.places.holding_criteria import ATTAINED
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.views.place_view import places_of

CATALOGUE = load_catalogue()
RIM = Rim(2.0, 0.0, 0.0, 1.0, 1, 1)
SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"


def rock(seed: int) -> Solid:
    solid = shapes.boulder(60.0, 0.2, seed, 64)
    return Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0)))


def view(solid: Solid, present: tuple[float, float] | None = None, **changes: object):
    parameters = CutBoreParameters(screw=SCREW, washer=WASHER, **changes)
    return places_of(Hold().with_whole(solid, RIM), parameters, conditions(CATALOGUE), CATALOGUE, present)


def card(solid: Solid, x: float, y: float, seat: float):
    bored = cut_hole(solid, Hole(x, y, seat, 11.2, 31.2, 30.0)).solid
    bore = Bore(x, y, (0.0, 0.0, 1.0), 11.2, 31.2, seat, seat, SCREW, WASHER)
    hold = Hold().with_whole(bored, RIM, bore)
    return joint_cards(joint_shape(hold), conditions(CATALOGUE), CATALOGUE)[0]


@settings(max_examples=3, deadline=None)
@given(seed=st.integers(0, 5), x=st.floats(-7.0, 7.0), y=st.floats(-7.0, 7.0))
def test_the_safeties_are_those_of_the_card_after_boring(seed, x, y):
    solid = rock(seed)
    present = view(solid, (x, y)).present
    met = card(solid, x, y, present.place.seat)
    # The bore's own hole in the contact is left out, and the pocket takes some of the grip surface.
    assert present.spin == pytest.approx(met.spin.value, rel=0.06)
    assert present.lift == pytest.approx(met.lift.value, rel=0.06)


def test_arms_are_those_of_a_reach_about_the_same_place():
    loads = loads_on(rock(1).mesh)
    places = np.array([[0.0, 0.0], [12.0, -8.0], [-20.0, 15.0]])
    for place, arm in zip(places, loads.arms(places), strict=True):
        assert arm == pytest.approx(Reach(place, loads).arm)


def test_a_bore_in_a_long_block_goes_where_its_edges_stay_down():
    # Loads on the upper side pry about the low edge: a bore nearer to that lifts sooner.
    found = view(shapes.block(90.0, 120.0, 30.0), (0.0, -40.0))
    assert found.best[0].place.y > -10.0
    assert found.present.lift < found.best[0].lift


def test_a_bore_near_the_edge_lifts_sooner_but_not_at_once_beyond_the_kern():
    # A stiff block 90 wide has its kern at 90 / 6 = 15: one 16 off the middle still presses round its washer.
    block = shapes.block(90.0, 120.0, 30.0)
    lifts = [view(block, (x, 0.0)).present.lift for x in (0.0, 16.0, 28.0)]
    assert lifts[0] >= lifts[1] > lifts[2]
    assert lifts[1] > 0.8 * lifts[0]
    assert card(block, 16.0, 0.0, 17.5).lift.value == pytest.approx(lifts[1], rel=0.1)


def test_what_no_place_reaches_is_asked_for_in_part_and_said():
    found = view(rock(2))
    best = found.best[0]
    assert best.spin < 1.0
    limit = best.place.ratios["spin"]
    assert 0.0 < limit <= 1.0 / ATTAINED + 0.02
    assert best.reason.startswith("Here the least margin is what keeps it from turning: a safety of 0.")
    assert "next comes" in best.reason
    first = best.reason.partition(";")[0]
    assert "times what is required" not in first
    assert all(each.spin > 0.0 and each.lift > 0.0 for each in found.best[1:])
    # The map says of a back that no place on it is as required.
    assert np.nanmax(found.field.margin) < 1.0


def test_field_and_places_agree_and_the_best_is_best():
    found = view(rock(3))
    margins = [each.place.margin for each in found.best]
    assert np.nanmax(found.field.margin) <= margins[0] + 0.25
    assert 1 <= len(found.best) <= 3
    for one, other in combinations(found.best, 2):
        assert np.hypot(one.place.x - other.place.x, one.place.y - other.place.y) > found.pocket - 1e-6
    assert all(one >= other - 0.3 for one, other in pairwise(margins))
    ratios = list(found.best[0].place.ratios.values())
    assert ratios == sorted(ratios)
    assert set(found.best[0].place.ratios) >= {"thickness", "wall_at_bore", "edge", "access", "spin", "lift"}


def test_rows_and_leaning_bores_are_refused_in_a_sentence():
    with pytest.raises(ParameterError, match="one round bore square to the wall"):
        view(rock(0), count=2)


def test_a_large_back_has_three_places_a_pocket_apart():
    found = view(shapes.block(240.0, 240.0, 30.0))
    assert len(found.best) == 3
    assert all(each.place.ratios[limit] >= 1.0 for each in found.best for limit in LIMITS)
