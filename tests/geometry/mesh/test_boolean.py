import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.boolean import simplified
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder


def test_simplifying_leaves_no_flakes_and_no_sealed_cracks():
    hollow = Manifold.cube((10.0, 10.0, 10.0), center=True).translate((20.0, 0.0, 20.0))
    crack = Manifold.cube((8.0, 6.0, 0.03), center=True).translate((-20.0, 0.0, 20.0))
    flake = Manifold.cube((8.0, 6.0, 0.03), center=True).translate((0.0, 0.0, 60.0))
    rough = Solid.checked(block().kernel - hollow - crack + flake)
    light = simplified(rough, 0.02)
    assert light.volume == pytest.approx(100 * 80 * 40 - 1000)
    assert len(light.kernel.decompose()) == 2, "body and cavity"
    assert simplified(rough, 0.001).volume == pytest.approx(rough.volume)


def test_simplifying_moves_the_surface_by_no_more_than_the_tolerance():
    fine = boulder(segments=256)
    light = simplified(fine, 0.05)
    assert light.triangle_count < fine.triangle_count
    assert abs(light.volume - fine.volume) < 0.05 * fine.area
    assert light.bounds == pytest.approx(fine.bounds, abs=0.05)
