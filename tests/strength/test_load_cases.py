import numpy as np
import pytest

from holdwright.joint.holding.loadable import loads_on
from holdwright.joint.holding.loads import load_of
from holdwright.strength.load_cases import APART, PATCH, candidate_loads, patch_load
from shapes import block, sphere


def test_candidates_begin_with_the_greatest_moment_and_lie_apart():
    loads, load = loads_on(block(120.0, 60.0, 40.0).mesh), load_of(80.0, 2.0, least=(0.2, 0.2))
    chosen = candidate_loads(loads, np.zeros(2), load, 16)
    moments = [float(np.linalg.norm(np.cross(point, force))) for force, point in chosen]
    assert 4 <= len(chosen) <= 16
    assert moments == sorted(moments, reverse=True)
    # Statics by hand: along the wall at the top's corner, off it beside the bolt's axis.
    every = [
        np.linalg.norm(np.cross(p, (*(load.along * d), load.outward)))
        for d, p in zip(loads.directions, loads.points, strict=True)
    ]
    assert moments[0] == pytest.approx(max(every))
    for number, (force, point) in enumerate(chosen):
        for other, at in chosen[:number]:
            turned = force @ other / np.linalg.norm(force) / np.linalg.norm(other)
            assert np.linalg.norm(point - at) >= APART or turned <= np.cos(np.radians(45.0)) + 1e-9


def test_a_patch_is_the_round_area_that_faces_the_load():
    top, force = np.array([0.0, 0.0, 40.0]), np.array([0.0, 0.0, -1000.0])
    found = patch_load(block(200.0, 200.0, 40.0).mesh, force, top)
    assert found.shares.sum() == pytest.approx(1.0)
    assert found.points[:, 2] == pytest.approx(40.0)
    assert found.shares @ found.points == pytest.approx(top, abs=0.2)
    # The mean square distance from the middle of a disc is half its radius squared.
    square = found.shares @ np.einsum("ij,ij->i", found.points - top, found.points - top)
    assert square == pytest.approx((PATCH / 2.0) ** 2 / 2.0, rel=0.05)
    assert found.enters_at(np.array([[0.0, 14.0, 40.0], [0.0, 0.0, 20.0]])).tolist() == [True, False]


def test_a_round_surface_takes_most_where_it_faces_the_load():
    ball = sphere(50.0)
    found = patch_load(ball.mesh, np.array([0.0, -1600.0, 0.0]), np.array([0.0, 50.0, 0.0]))
    assert found.shares @ found.points == pytest.approx([0.0, 48.9, 0.0], abs=0.3)
    assert found.direction == pytest.approx([0.0, -1.0, 0.0])


def test_where_nothing_faces_the_load_all_of_the_patch_takes_it():
    found = patch_load(
        block(200.0, 200.0, 40.0).mesh, np.array([0.0, 0.0, 900.0]), np.array([0.0, 0.0, 40.0])
    )
    assert found.shares.sum() == pytest.approx(1.0)
    assert len(found.points) > 50
