import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.measure.thickness import thinnest, wall_thickness
from holdwright.geometry.mesh.boolean import subtract
from holdwright.geometry.mesh.solid import Solid
from shapes import block, ring, sphere

cone = pytest.mark.parametrize("cone", [False, True])


def normals(solid: Solid) -> np.ndarray:
    corners = solid.vertices[solid.triangles]
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return doubled / np.linalg.norm(doubled, axis=1, keepdims=True)


@cone
def test_slab(cone):
    slab = block(100.0, 80.0, 4.0)
    along = np.abs(normals(slab))
    expected = along @ np.array([100.0, 80.0, 4.0])
    assert wall_thickness(slab, cone) == pytest.approx(expected, abs=1e-3)


@cone
def test_ball_is_as_thick_as_its_diameter(cone):
    ball = sphere(50.0, 128)
    thickness = wall_thickness(ball, cone)
    # Facets lie inside the sphere by 50 (1 - cos(180/64 degrees)) at most, on either side.
    assert thickness.max() <= 100.001
    assert thickness.min() >= 100.0 * np.cos(np.pi / 64) ** 2 - 0.05


@cone
def test_ring_and_tube(cone):
    tube = ring(40.0, 34.0, 60.0, 256)
    thickness = wall_thickness(tube, cone)
    sides = np.abs(normals(tube)[:, 2]) < 0.5
    assert thickness[sides] == pytest.approx(6.0, abs=0.02)
    assert thickness[~sides] == pytest.approx(60.0, abs=1e-3)
    thin = thinnest(tube, thickness)
    assert thin.thickness == pytest.approx(6.0, abs=0.02)
    assert 33.9 < np.hypot(*thin.place[:2]) < 40.1


def test_wall_over_a_cavity_off_centre():
    """A ball of 20 mm with its centre 25 mm off in a ball of 50 mm leaves 5 mm of wall at one place."""
    hollow = subtract(sphere(50.0, 128), [Solid.checked(sphere(20.0, 128).kernel.translate((25.0, 0, 0)))])
    thin = thinnest(hollow, wall_thickness(hollow), area=2.0)
    assert thin.thickness == pytest.approx(5.0, abs=0.1)
    assert thin.place[0] > 44.0
    assert np.hypot(*thin.place[1:]) < 4.0


def wedge(degrees: float) -> Solid:
    tip = np.tan(np.radians(degrees))
    section = CrossSection([[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0 * tip)]])
    return Solid.checked(Manifold.extrude(section, 40.0).refine(24))


def test_wedge_straight_and_with_the_cone():
    """Straight inward from the base a wedge has x tan(a); square to the slope x sin(a): a cone finds it."""
    solid = wedge(25.0)
    base = (normals(solid)[:, 1] < -0.99) & (solid.vertices[solid.triangles].mean(axis=1)[:, 0] < 40)
    x = solid.vertices[solid.triangles].mean(axis=1)[base, 0]
    straight = wall_thickness(solid)[base]
    leaning = wall_thickness(solid, cone=True)[base]
    assert straight == pytest.approx(x * np.tan(np.radians(25.0)), abs=2e-3)
    least = x * np.sin(np.radians(25.0))
    assert np.all(leaning >= least - 1e-3)
    assert np.median(leaning / least) < 1.04


def test_thinnest_ignores_single_faces_at_an_edge():
    solid = wedge(25.0)
    thickness = wall_thickness(solid)
    assert thickness.min() < 1.0
    # Base and slope, 40 mm wide, are no thicker than t on t / tan(a) of their length, the end on t tan(a).
    tan = np.tan(np.radians(25.0))
    reached = thinnest(solid, thickness, area=800.0).thickness
    assert reached == pytest.approx(800.0 / (2 * 40 / tan + 40 * tan), rel=0.1)
    areas = 1e12  # more than there is: half the surface decides
    assert np.isfinite(thinnest(solid, thickness, areas).thickness)


def test_plain_rays_against_the_closed_form_of_a_block():
    """Rays from inside a box leave it at the nearest of its three planes ahead (slab method)."""
    solid = block(100.0, 80.0, 40.0)
    generator = np.random.default_rng(3)
    directions = generator.normal(size=(3000, 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    half = np.array([50.0, 40.0, 20.0])
    origins = generator.uniform(-1, 1, size=(3000, 3)) * half * 0.99
    ahead = (np.copysign(half, directions) - origins) / directions
    distances, triangles = RayTree(solid.mesh).first_hits(origins + half * [0, 0, 1], directions)
    assert distances == pytest.approx(ahead.min(axis=1), rel=1e-9)
    assert np.all(triangles >= 0)


def test_rays_along_the_axes_and_away():
    solid = block(100.0, 80.0, 40.0)
    origins = np.array([[3.0, 2.0, 100.0], [3.0, 2.0, 100.0], [200.0, 7.0, 11.0]])
    directions = np.array([[0.0, 0.0, -1.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]])
    distances, triangles = RayTree(solid.mesh).first_hits(origins, directions)
    assert distances == pytest.approx([60.0, np.inf, 150.0])
    assert triangles[1] == -1
