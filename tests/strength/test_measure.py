"""What the hottest 200 mm3 exceed."""

import numpy as np
import pytest

from hold_shapes import broken, horn, slit
from holdwright.strength.measure import exceeded, von_mises
from outside.test_strength_closed_forms import every_turn


def test_the_value_is_that_of_the_volume_whatever_the_samples():
    coarse, fine = np.linspace(0, 100, 1001), np.linspace(0, 100, 10_001)
    # Evenly spread over 1000 mm3: 200 of them exceed 80.
    for values in (coarse, fine):
        volumes = np.full(len(values), 1000.0 / len(values))
        places = np.column_stack([values, 0 * values, 0 * values])
        found = exceeded(values, volumes, places)
        assert found.value == pytest.approx(80.0, abs=0.1)
        assert volumes[found.hottest].sum() == pytest.approx(200.0, rel=0.01)
    assert exceeded(coarse, np.full(1001, 0.1), places[:1001]).value == pytest.approx(0.0, abs=0.1)


def test_the_place_is_where_most_of_it_lies():
    places = np.array([[0.0, 0, 0]] * 3 + [[50.0, 0, 0]] * 5 + [[52.0, 0, 0]] * 5)
    found = exceeded(np.full(13, 10.0), np.full(13, 20.0), places)
    assert found.place == pytest.approx([51.0, 0.0, 0.0], abs=1.1)
    assert found.spread < 2.0
    assert 0.5 < found.gathered < 1.0


def test_what_has_no_volume_does_not_count():
    found = exceeded(np.array([99.0, 5.0, 4.0]), np.array([0.0, 150.0, 150.0]), np.zeros((3, 3)))
    assert 4.0 <= found.value <= 5.0


def test_von_mises_of_pull_and_shear():
    pull, shear = np.zeros((1, 6)), np.zeros((1, 6))
    pull[0, 2], shear[0, 4] = 7.0, 7.0
    assert von_mises(pull) == pytest.approx([7.0])
    assert von_mises(shear) == pytest.approx([7.0 * np.sqrt(3.0)])


def test_shifted_grids_give_the_same():
    solid, point, force = horn()
    found = [broken(solid, point, force, 2.0, shift) for shift in ((0.0, 0.0), (0.67, 0.9), (1.3, 0.4))]
    values = np.array([each.hottest.value for each in found])
    assert values == pytest.approx(np.full(3, values.mean()), rel=0.05)
    assert max(each.steps for each in found) <= 50
    assert [each.sag for each in found] == pytest.approx([found[0].sag] * 3, rel=0.03)


@every_turn
def test_half_the_cell_gives_the_same():
    solid, point, force = horn()
    coarse, fine = (broken(solid, point, force, cell) for cell in (2.0, 1.0))
    assert coarse.hottest.value == pytest.approx(fine.hottest.value, rel=0.08)
    assert coarse.sag == pytest.approx(fine.sag, rel=0.08)
    assert fine.unknowns > 150_000
    assert fine.steps <= 50


@every_turn
@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.67, 0.9), (1.3, 0.4)])
def test_a_slit_is_as_open_in_coarse_cells(shift):
    solid, point, force = slit()
    coarse, fine = (broken(solid, point, force, *each) for each in ((2.0, shift), (1.0,)))
    assert coarse.sag == pytest.approx(fine.sag, rel=0.08)
