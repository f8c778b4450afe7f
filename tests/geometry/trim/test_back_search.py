import numpy as np
import pytest

from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.back_search import MOST_LOST, back_candidates
from shapes import block, boulder, frustum, ring, sphere


def at(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved(placement(shift=np.array([x, y, z])))


def best(solid: Solid, floor: float | None = None, rim: float = 3.0):
    return back_candidates(solid, float(solid.bounds[0, 2]) if floor is None else floor, rim, 50.0)


@pytest.mark.parametrize("solid", [block(), frustum(60, 35, 45), ring()], ids=["block", "frustum", "ring"])
def test_what_stands_flat_loses_nothing(solid):
    first = best(solid)[0]
    assert first.z == solid.bounds[0, 2]
    assert first.lost < 0.02
    assert first.cover == pytest.approx(1.0, abs=0.02)


def test_a_ball_is_cut_where_little_is_lost_and_much_touches_the_wall():
    """Closed forms: a cap of height h of a ball R is h^2 (3 R - h) / (4 R^3) of it on h (2 R - h) pi."""
    first = best(sphere(50.0, 128), rim=0.0)[0]
    height = first.z + 50.0
    assert first.lost == pytest.approx(height**2 * (150.0 - height) / 4 / 50.0**3, abs=0.01)
    assert first.cover == pytest.approx(height * (100.0 - height) / 50.0**2, abs=0.05)
    assert 0.05 < first.lost < MOST_LOST
    assert first.cover > 0.5


@pytest.mark.parametrize("seed", range(4))
def test_no_more_than_a_fifth_is_lost_where_another_height_will_do(seed):
    found = best(boulder(seed=seed, segments=48, roughness=0.5))
    assert found[0].lost <= MOST_LOST
    heights = sorted(each.z for each in found)
    assert len(heights) == 3
    assert min(np.diff(heights)) > 3.0


def test_what_is_behind_the_floor_does_not_count():
    tall = union([block(100, 80, 40), at(block(20, 20, 41), 0, 0, -40.0)])
    assert best(tall, floor=0.0)[0].lost == pytest.approx(0.0, abs=0.02)


def test_of_two_towers_on_a_plate_thinner_than_the_rim_neither_is_lost():
    towers = [at(block(30, 60, 40), x, 0, 0) for x in (-30, 30)]
    first = best(union([block(100, 80, 2), *towers]))[0]
    assert first.joined
    assert first.z == 0.0
    assert first.lost < 0.05


def test_a_needle_has_a_back_at_its_floor():
    (only,) = best(at(block(100.0, 0.004, 0.004), 0, 0, 0.0))
    assert only.z == 0.0
