import numpy as np
import pytest

from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.cut_height import back_height, silhouette_area
from shapes import block, frustum, ring, sphere


def at(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved(placement(shift=np.array([x, y, z])))


@pytest.mark.parametrize("share", [0.2, 0.6, 0.9])
def test_a_sphere_is_cut_where_its_section_covers_the_share(share):
    """Area of the section at height h: pi h (2R - h)."""
    found = back_height(sphere(50.0, 256), share, -50.0)
    assert found.complete
    assert found.z == pytest.approx(-50.0 * np.sqrt(1 - share), abs=0.1)
    assert found.cover == pytest.approx(share, abs=0.01)


def test_what_is_flat_already_is_cut_at_its_foot():
    found = back_height(block(), 0.6, 0.0)
    assert (found.z, found.complete, found.outlines) == (0.0, True, 1)
    assert found.cover == pytest.approx(1.0)


def test_feet_are_cut_off_where_they_join():
    feet = [at(sphere(15.0, 64), x, y, 15.0) for x, y in ((-30, -20), (30, -20), (0, 25))]
    found = back_height(union([at(block(100, 80, 50), 0, 0, 20.0), *feet]), 0.6, 0.0)
    assert found.z == pytest.approx(20.0, abs=0.03)
    assert found.complete


def test_a_floor_is_not_undercut():
    found = back_height(at(frustum(50, 40, 60), 0, 0, -10.0), 0.5, 7.0)
    assert found.z == 7.0


def test_a_hollow_back_counts_as_covered():
    found = back_height(ring(50.0, 45.0, 30.0), 0.6, 0.0)
    assert found.complete
    assert found.z == 0.0


def test_a_narrow_foot_under_a_wide_top_is_a_compromise():
    mushroom = union([frustum(15, 15, 60, 64), at(frustum(50, 50, 20, 64), 0, 0, 50.0)])
    found = back_height(mushroom, 0.6, 0.0)
    assert not found.complete
    assert found.z == pytest.approx(0.0, abs=0.1)
    assert found.cover == pytest.approx((15 / 50) ** 2, rel=1e-6)


def test_the_silhouette_is_that_of_the_widest_parts():
    mushroom = union([frustum(15, 15, 60, 128), at(frustum(50, 50, 20, 128), 0, 0, 50.0)])
    assert silhouette_area(mushroom) == pytest.approx(np.pi * 50**2, rel=1e-3)
    assert silhouette_area(ring(50.0, 45.0, 30.0)) == pytest.approx(np.pi * 50**2, rel=1e-3)


def test_parts_joined_by_a_thread_are_not_one_outline_yet():
    cones = [at(frustum(10.0, 40.0, 60.0, 64), x, 0.0, 0.0) for x in (-35.0, 35.0)]
    found = back_height(union([*cones, at(block(90.0, 60.0, 60.0), 0.0, 0.0, 55.0)]), 0.5, 0.0)
    # 64-sided cones touch with a corner each once their radii reach 35, 50 mm up
    radius = 10.0 + found.z / 2
    assert found.complete
    assert 2 * (radius - 35.0) / np.tan(np.pi / 64) == pytest.approx(2.0, abs=0.5)
