"""The best place for a bore, on shapes where it is known, and how it follows the shape."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.hole.bore_places import BoreCriteria, Place, PlaceField
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.seat import SeatRule
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, ring

RULE = SeatRule("recessed", under_seat=12.0, recess=13.5)
REQUIRED = BoreRequirements(Hole(0.0, 0.0, 0.0, 11.0, 31.0, 30.0), RULE, thickness=8.0, edge=20.0)


def best_places(solid: Solid, bore: BoreRequirements, count: int = 3) -> tuple[Place, ...]:
    return BoreCriteria.of(solid, bore).best(count)


def places_at(solid: Solid, bore: BoreRequirements, *places: tuple[float, float]) -> list[Place]:
    criteria = BoreCriteria.of(solid, bore)
    return [criteria.place(x, y) for x, y in places]


def prism(outline: list[tuple[float, float]], height: float) -> Solid:
    return Solid.checked(CrossSection([np.array(outline, dtype=np.float64)]).extrude(height))


def rock(seed: int, segments: int = 96, roughness: float = 0.25) -> Solid:
    solid = boulder(55.0, roughness, seed, segments)
    return Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0)))


def turned(solid: Solid, angle: float) -> Solid:
    c, s = np.cos(angle), np.sin(angle)
    return solid.moved(placement(np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])))


def test_half_ellipsoid_is_bored_in_the_middle():
    half = Manifold.sphere(1.0, 256).scale((70, 45, 35)).trim_by_plane((0, 0, 1), 0.0)
    place = best_places(Solid.checked(half), REQUIRED)[0]
    assert np.hypot(place.x, place.y) < 0.1
    assert place.values["edge"] == pytest.approx(45.0, abs=0.1)
    assert place.limited_by == "edge"
    # Lowest surface over the pocket: 15.5 along the short axis, on the faceted ellipsoid.
    assert place.values["thickness"] == pytest.approx(35 * np.sqrt(1 - (15.5 / 45) ** 2), abs=0.1)


def test_triangular_prism_is_bored_at_its_inscribed_circle():
    # A right triangle 120 x 90 x 150 has its inscribed circle (radius 30) at (30, 30) from the right angle.
    place = best_places(prism([(0, 0), (120, 0), (0, 90)], 40.0), REQUIRED)[0]
    assert place.values["edge"] == pytest.approx(30.0, abs=0.1)
    assert (place.x, place.y) == (pytest.approx(30.0, abs=0.15), pytest.approx(30.0, abs=0.15))
    assert place.values["wall_at_bore"] == pytest.approx(24.5, abs=0.1)


def test_wedge_is_bored_where_height_and_edge_distance_balance():
    # 20 high at x = 0 falling to 2 at x = 120, 300 wide. The pocket's low side is at x + 15.5, so the
    # thickness is 20 - 0.15 (x + 15.5), and thickness / 12 = x / 20 at x = 23.57. The walls ask for less.
    wedge = prism([(0, 0), (120, 0), (120, 2), (0, 20)], 300.0)
    turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
    upright = wedge.moved(placement(turn, np.array([0.0, 150.0, 0.0])))
    required = replace(REQUIRED, thickness=5.0)
    place = best_places(upright, required)[0]
    balance = (20 - 0.15 * 15.5) / 12 / (1 / 20 + 0.15 / 12)
    assert place.x == pytest.approx(balance, abs=0.35)
    assert abs(place.y) < 0.5
    assert place.margin == pytest.approx(balance / 20, abs=0.02)


def test_places_come_best_first_and_apart():
    places = best_places(rock(2), REQUIRED, count=4)
    assert len(places) >= 2
    margins = [place.margin for place in places]
    assert margins[0] == max(margins)
    for number, place in enumerate(places):
        for other in places[:number]:
            assert np.hypot(place.x - other.x, place.y - other.y) > 31.0 - 1e-6


def test_no_place_on_a_fine_net_of_exact_figures_is_much_better():
    solid = rock(5)
    best = best_places(solid, REQUIRED, count=1)[0]
    net = [(x, y) for x in range(-40, 41, 4) for y in range(-40, 41, 4)]
    others = places_at(solid, REQUIRED, *net)
    # The pull towards the centre may cost a little margin.
    assert max(other.margin for other in others) <= best.margin + 0.1


def test_a_hollow_back_is_kept_away_from():
    hollow = block(120, 80, 40).kernel - Manifold.cube((30, 60, 33), True).translate((0, 0, 16.0))
    place = best_places(Solid.checked(hollow), REQUIRED)[0]
    assert abs(place.x) == pytest.approx(37.5, abs=2.5)
    assert place.values["wall_at_bore"] > 8.0


def test_an_overhanging_lip_is_kept_away_from():
    lip = Manifold.cube((120, 80, 20), True).translate((0, 0, 10))
    lip += Manifold.cube((70, 80, 8), True).translate((25, 0, 34))
    lip += Manifold.cube((10, 80, 30), True).translate((55, 0, 15))
    found = best_places(Solid.checked(lip), REQUIRED, count=1)[0]
    assert found.ratios["access"] >= 1.0
    assert found.x < -10.0 - 15.5 + 0.6
    [under] = places_at(Solid.checked(lip), REQUIRED, (10.0, 0.0))
    # A pocket that would cut through a lip has half of what is required at most.
    assert under.limited_by == "access"
    assert under.margin <= 0.5


def test_a_fin_beside_the_pocket_is_kept_away_from():
    # A block 30 high with a wall 40 high and 6 thick along x = 20: a pocket that bites into it leaves a fin.
    fin = Manifold.cube((120, 90, 30), True).translate((0, 0, 15))
    fin += Manifold.cube((6, 90, 40), True).translate((20, 0, 50))
    solid = Solid.checked(fin)
    [beside, biting] = places_at(solid, REQUIRED, (-10.0, 0.0), (6.0, 0.0))
    assert beside.values["wall_above"] > 16.0
    assert beside.limited_by != "wall_above"
    assert biting.values["wall_above"] == pytest.approx(23.0 - 21.5, abs=1.1)
    assert biting.limited_by == "wall_above"
    [place] = best_places(solid, REQUIRED, count=1)
    assert place.x < 17.0 - 15.5 + 0.6


def test_a_second_bore_keeps_its_distance():
    bar = block(200, 60, 40)
    first = best_places(bar, REQUIRED, count=1)[0]
    assert np.hypot(first.x, first.y) < 0.5
    bored = cut_hole(bar, Hole(first.x, first.y, first.seat, 11.0, 31.0, 30.0)).solid
    taken = replace(REQUIRED, taken=(replace(REQUIRED.hole, x=first.x, y=first.y),))
    second = best_places(bored, taken, count=1)[0]
    between = np.hypot(first.x - second.x, first.y - second.y) - 31.0
    assert between > 8.0
    assert second.margin > 1.0


def test_a_thin_disc_is_limited_by_its_thickness_and_still_bored():
    place = best_places(Solid.checked(Manifold.cylinder(6.0, 60.0, 60.0, 64)), REQUIRED)[0]
    assert place.limited_by == "thickness"
    assert place.margin == pytest.approx(0.5)
    assert np.hypot(place.x, place.y) < 0.5
    assert place.seat == pytest.approx(5.5)


def test_a_ring_is_bored_in_its_land():
    place = best_places(ring(60.0, 20.0, 30.0), REQUIRED)[0]
    assert np.hypot(place.x, place.y) == pytest.approx(40.0, abs=1.5)


def test_no_back_on_the_wall():
    with pytest.raises(GeometryError, match="no flat back"):
        best_places(Solid.checked(block().kernel.translate((0, 0, 5.0))), REQUIRED)


def test_field_covers_the_base_and_peaks_where_the_place_is():
    solid = rock(3)
    over_base = BoreCriteria.of(solid, REQUIRED).field
    place = best_places(solid, REQUIRED, count=1)[0]
    x, y = over_base.grid.places
    assert over_base.margin.shape == over_base.grid.shape
    base = ~np.isnan(over_base.margin)
    area = solid.kernel.slice(0.02).area()
    assert base.sum() * over_base.grid.step**2 == pytest.approx(area, rel=0.02)
    near = np.hypot(x - place.x, y - place.y) <= 2.0
    # The grid's distances are good to about half a step.
    assert np.nanmax(over_base.margin[near]) == pytest.approx(place.margin, abs=0.1)
    assert np.nanmax(over_base.margin) <= place.margin + 0.2


@cache
def still_standing(seed: int) -> tuple[Place, PlaceField]:
    """Give the best place of a rock that is not turned, and what it has everywhere."""
    criteria = BoreCriteria.of(rock(seed), REQUIRED)
    return criteria.best(1)[0], criteria.field


@settings(max_examples=8, deadline=None)
@given(angle=st.floats(0.0, 2 * np.pi), seed=st.integers(0, 3))
@example(angle=1.15625, seed=3)
def test_the_place_turns_with_the_hold(angle, seed):
    still, field = still_standing(seed)
    moved = best_places(turned(rock(seed), angle), REQUIRED, count=1)[0]
    c, s = np.cos(angle), np.sin(angle)
    assert moved.margin == pytest.approx(still.margin, abs=0.02)
    # Turned back it is the same place, or one as good: a coarsely meshed rock has several flat peaks.
    x, y = c * moved.x + s * moved.y, c * moved.y - s * moved.x
    near = np.hypot(field.grid.places[0] - x, field.grid.places[1] - y) <= 2.0
    # The grid's distances are good to about half a step.
    as_good = np.nanmax(field.margin[near]) > still.margin - 0.25
    assert np.hypot(x - still.x, y - still.y) < 2.5 or as_good


@pytest.mark.parametrize("seed", range(3))
def test_the_place_stays_under_another_meshing_and_a_small_revision(seed):
    first = best_places(rock(seed, segments=96), REQUIRED, count=1)[0]
    for other in (rock(seed, segments=60), rock(seed, segments=160), rock(seed, roughness=0.253)):
        place = best_places(other, REQUIRED, count=1)[0]
        assert np.hypot(place.x - first.x, place.y - first.y) < 1.0
        assert place.margin == pytest.approx(first.margin, abs=0.03)
