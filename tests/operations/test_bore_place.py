"""Where a bore goes by itself."""

from dataclasses import replace

import numpy as np
import pytest
from manifold3d import Manifold

from boring import CATALOGUE, bored, codes, rock
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import conditions
from holdwright.operations.base import Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.pipeline.views.place_view import places_of
from shapes import block


def test_found_place_of_a_block_is_above_its_middle_and_the_seat_is_recessed():
    [bore] = bored(block(100, 80, 58)).hold.find(Bore)
    # Loads from above pry about the low edge: a little above the middle the bolt has the longer lever.
    assert bore.x == pytest.approx(0.0, abs=1.0)
    assert -0.1 < bore.y < 80 / 6
    # 2.5 mm washer, 10 mm head, 1 mm below the surface.
    assert bore.seat_z == pytest.approx(58 - 13.5)


@pytest.mark.parametrize("seed", range(2, 5))
def test_the_found_place_is_the_first_of_the_best_places(seed):
    hold = Hold(sized=True).with_whole(rock(seed))
    [bore] = bored(hold).hold.find(Bore)
    view = places_of(hold, CutBoreParameters(), conditions(CATALOGUE), CATALOGUE, (bore.x, bore.y))
    first = view.best[0].place
    assert (bore.x, bore.y) == (pytest.approx(first.x, abs=0.006), pytest.approx(first.y, abs=0.006))
    assert view.present.place.margin == pytest.approx(first.margin, abs=0.02)


def test_where_the_joint_cannot_be_reckoned_the_shape_alone_decides():
    without = replace(CATALOGUE, materials=())
    outcome = CutBore().apply(
        Hold(sized=True).with_whole(block(100, 80, 58)), CutBoreParameters(), Run(without)
    )
    [bore] = outcome.hold.find(Bore)
    assert (bore.x, bore.y) == (pytest.approx(0.0, abs=0.1), pytest.approx(0.0, abs=0.1))
    assert outcome.findings == ()


def test_second_bore_keeps_clear_of_the_first():
    first = bored(block(220, 70, 40))
    second = bored(first.hold)
    one, two = second.hold.find(Bore)
    assert np.hypot(one.x - two.x, one.y - two.y) > 31.0 + 8.0
    assert codes(second) == {}
    assert second.hold.whole.genus == 2
    onto = bored(first.hold, place="at", at=(one.x + 35.0, one.y))
    assert codes(onto)["near_bore"] == "warning"


@pytest.mark.parametrize("seed", range(4))
def test_no_warnings_means_the_figures_hold(seed):
    outcome = bored(rock(seed))
    [bore] = outcome.hold.find(Bore)
    assert "thin_under_seat" not in codes(outcome)
    # Cut the ring's column out under the seat: it must be solid all the way down.
    ring = Manifold.cylinder(bore.seat_z - 0.1, 15.0, 15.0, 96) - Manifold.cylinder(400, 5.6, 5.6, 96)
    ring = ring.translate((bore.x, bore.y, 0.05))
    assert float((ring ^ outcome.hold.whole.kernel).volume()) == pytest.approx(float(ring.volume()), rel=1e-6)


def test_the_found_place_is_on_a_back_narrower_than_the_search_sees():
    outcome = bored(block(0.03, 80.0, 20.0))
    [bore] = outcome.hold.find(Bore)
    assert abs(bore.x) < 0.015
    assert "error" in codes(outcome).values(), "so thin a hold is bored, but nobody is told it is sound"
    # The pocket takes a slot of its own width out of the blade.
    assert outcome.hold.whole.volume < 0.03 * 80.0 * 20.0 - 0.03 * 10.9 * 20.0
