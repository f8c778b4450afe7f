"""Where a hold is loaded worst, against every point of its surface and a fan of two degrees."""

import math

import numpy as np
import pytest

import shapes
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.joint.holding.contact import Contact, back_outlines, contact_within
from holdwright.joint.holding.loadable import STEEPEST, loads_on
from holdwright.joint.holding.loads import Load, Loads, Reach, load_of
from holdwright.joint.holding.overturning import lift_safety, pry_force
from holdwright.joint.holding.pressure import ClampCone

RIM = 2.0


def dome(radius: float, height: float) -> Solid:
    """A sloper: a cap of a ball."""
    ball = (radius**2 + height**2) / (2 * height)
    cap = shapes.sphere(ball, 96).kernel.translate((0.0, 0.0, height - ball))
    return Solid.checked(cap.trim_by_plane((0, 0, 1), 0.0))


def rock() -> Solid:
    solid = shapes.boulder(60.0, 0.2, 4, 64)
    return Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0)))


SHAPES = {
    "disc": lambda: shapes.frustum(60.0, 56.0, 40.0),
    "sloper": lambda: dome(70.0, 45.0),
    "rock": rock,
    "bar": lambda: Solid.checked(shapes.block(300.0, 60.0, 40.0).kernel.rotate((0, 0, 7.0))),
}


def grip_of(solid: Solid) -> Mesh:
    return Mesh.joined(HoldSurface(solid.mesh, (), RIM).grip())


def corners_above(solid: Solid) -> Floats:
    """Triangles above the rim, of the hold cut off there."""
    corners = Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), RIM)).mesh.corners
    return corners[(corners[:, :, 2] > RIM + 1e-6).any(axis=1)]


def worst(corners: Floats, contact: Contact, load: Load, clamp: float) -> tuple[float, float, float]:
    """Arm, lift and pry of all corners, written anew: one load after another, no search."""
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    arm, lift, pry = 0.0, np.inf, 0.0
    for turn in np.radians(np.arange(0, 360, 2)):
        along = np.array([math.cos(turn), math.sin(turn)])
        points = corners[normals[:, :2] @ -along >= math.cos(math.radians(STEEPEST))].reshape(-1, 3)
        arm = max(arm, float(np.abs(points[:, 0] * along[1] - points[:, 1] * along[0]).max(initial=0.0)))
        moments = load.along * points[:, 2:] * along - load.outward * points[:, :2]
        for a, b in zip(contact.kern, np.roll(contact.kern, -1, axis=0), strict=True):
            normal = np.array([b[1] - a[1], a[0] - b[0]])
            turning = float((moments @ normal).max(initial=0.0)) / float(normal @ a)
            lift = min(lift, clamp / (turning + load.outward))
        for a, b in zip(contact.hull, np.roll(contact.hull, -1, axis=0), strict=True):
            normal = np.array([b[1] - a[1], a[0] - b[0]]) / math.dist(a, b)
            outside = load.outward * (normal @ a - points[:, :2] @ normal)
            pull = load.along * points[:, 2] * (along @ normal) + outside
            pry = max(pry, float(pull.max(initial=0.0)) / float(normal @ a))
    return arm, lift, pry


@pytest.mark.parametrize("name", SHAPES)
def test_the_worst_of_all_points_and_directions_is_found(name: str):
    solid = SHAPES[name]()
    contact, loads = (
        contact_within(back_outlines(solid), [ClampCone(0.0, 0.0, 30.0)]),
        loads_on(grip_of(solid), RIM),
    )
    corners, middle = corners_above(solid), np.zeros((1, 2))
    for overhang in (0.0, 30.0, 45.0, 60.0, 90.0):
        load = load_of(80.0, 2.0, overhang, (0.2, 0.2))
        arm, lift, pry = worst(corners, contact, load, 4000.0)
        assert loads.arms(middle)[0] == pytest.approx(arm, rel=0.02), overhang
        assert lift_safety(contact.kern[None], loads, load, 4000.0, middle)[0] == pytest.approx(
            lift, rel=0.02
        ), overhang
        assert pry_force(contact, loads, load) == pytest.approx(pry, rel=0.02), overhang


def test_one_way_up_leaves_the_fan_about_straight_down():
    loads = loads_on(grip_of(SHAPES["bar"]()), RIM)
    turns = np.degrees(np.arctan2(*loads.directions.T[::-1])) + 90.0
    kept = np.degrees(np.arctan2(*loads.one_way_up.directions.T[::-1])) + 90.0
    assert {round(turn) % 360 for turn in turns} == set(range(0, 360, 10))
    assert {round(turn) for turn in kept} == set(range(-40, 50, 10))
    # A bar is turned most by pulls across its length, which those straight down are.
    assert Reach(np.zeros(2), loads).one_way_up.arm == pytest.approx(150.0, rel=0.02)


def test_a_load_on_a_roof_keeps_its_least_along_the_wall():
    roof, upright = load_of(80.0, 2.0, 90.0, (0.2, 0.1)), load_of(80.0, 2.0, 0.0, (0.2, 0.1))
    weight = 160.0 * 9.80665
    assert (roof.along, roof.outward) == pytest.approx((0.2 * weight, weight))
    assert (upright.along, upright.outward) == pytest.approx((weight, 0.1 * weight))
    assert load_of(80.0, 2.0, 90.0).along == pytest.approx(0.0, abs=1e-9)


def test_arms_about_any_place_are_those_of_all_loads():
    loads = Loads(np.array([[0.0, -1.0], [0.0, -1.0], [1.0, 0.0]]), np.diag([30.0, 20.0, 5.0]))
    assert loads.arms(np.array([[0.0, 0.0], [10.0, 0.0], [0.0, -50.0]])) == pytest.approx([30.0, 20.0, 50.0])


def test_where_nothing_faces_the_load_all_of_the_surface_counts():
    flat = Mesh.of_corners(np.array([[(0.0, 0.0, 9.0), (40.0, 0.0, 9.0), (0.0, 30.0, 9.0)]]))
    loads = loads_on(flat)
    assert len(np.unique(loads.directions, axis=0)) == 36
    assert Reach(np.zeros(2), loads).arm == pytest.approx(40.0)
