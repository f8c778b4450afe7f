import numpy as np
import pytest

from holdwright.geometry.measure.signed_distance import SignedDistance, surface_change
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from shapes import block, ring, sphere


def test_a_ball_is_measured_inside_and_out():
    points = np.random.default_rng(4).normal(size=(500, 3)) * 40.0
    found = SignedDistance(sphere(50.0, 200).mesh).of(points)
    assert np.abs(found - (np.linalg.norm(points, axis=1) - 50.0)).max() < 0.03


def test_the_hole_of_a_ring_is_outside():
    surface = SignedDistance(ring(40.0, 20.0, 20.0, 200).mesh)
    found = surface.of(np.array([[0.0, 0.0, 10.0], [30.0, 0.0, 12.0], [0.0, 45.0, 10.0]]))
    assert found == pytest.approx([20.0, -8.0, 5.0], abs=0.02)


def test_a_grown_ball_has_gained_and_a_shrunk_one_has_lost():
    old, new = sphere(50.0, 128).mesh, sphere(52.0, 128).mesh
    grown, shrunk = surface_change(old, new), surface_change(new, old)
    for change in (grown, shrunk):
        assert change.mean == pytest.approx(2.0, abs=0.02)
        assert change.p95 == pytest.approx(2.0, abs=0.02)
        assert change.largest == pytest.approx(2.0, abs=0.03)
    assert (grown.gained, grown.lost) == pytest.approx((2.0, 0.0), abs=0.03)
    assert (shrunk.gained, shrunk.lost) == pytest.approx((0.0, 2.0), abs=0.03)


def test_what_was_taken_away_counts_though_no_new_surface_lies_there():
    base = block(100.0, 80.0, 40.0)
    post = block(20.0, 20.0, 60.0).kernel.translate((0.0, 0.0, base.bounds[1, 2] - 1.0))
    posted = Solid.checked(base.kernel + post)
    gone = surface_change(posted.mesh, base.mesh)
    height = posted.bounds[1, 2] - base.bounds[1, 2]
    assert gone.lost == pytest.approx(height, abs=0.5)
    assert gone.gained < 1e-6
    assert surface_change(base.mesh, posted.mesh).gained == pytest.approx(height, abs=0.5)


def test_nothing_changed_is_nothing():
    solid = block(100.0, 80.0, 40.0)
    change = surface_change(solid.mesh, solid.moved(placement()).mesh)
    assert change.largest < 1e-6
