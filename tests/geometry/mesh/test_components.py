import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.boolean import components, reassembled


def test_a_crowd_of_surfaces_is_taken_apart_as_the_kernel_does():
    large = Manifold.sphere(50, 200)
    hollow = large - Manifold.sphere(20, 64)
    places = np.random.default_rng(1).uniform(60, 200, (60, 3))
    crumbs = [Manifold.sphere(0.5, 8).translate(tuple(place)) for place in places]
    whole = reassembled([hollow, *crumbs])
    ours = sorted(each.volume() for each in components(whole))
    assert len(ours) == len(whole.decompose()) > 60
    assert ours == pytest.approx(sorted(each.volume() for each in whole.decompose()), rel=1e-9)
    assert ours[0] < 0 < ours[1]
