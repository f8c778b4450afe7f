"""Light, normals and ink by themselves, against shapes with known answers."""

import numpy as np
import pytest

import shapes
from drawing.ambient_light import brightness, sky
from drawing.line_art import ink
from drawing.rasteriser import FrameBuffer
from drawing.vertex_normals import corner_normals, smooth_mesh_of
from holdwright.errors import ExportError
from holdwright.geometry.mesh.solid import Solid

WINDOW = np.array([-0.52, 0.66, 0.54]) / np.linalg.norm([-0.52, 0.66, 0.54])


@pytest.fixture(scope="module")
def _gl() -> None:
    try:
        FrameBuffer(np.eye(3), (8, 8)).close()
    except ExportError as reason:
        pytest.skip(str(reason))


def casters(solid: Solid) -> np.ndarray:
    return solid.vertices[solid.triangles.reshape(-1)]


def test_a_free_facet_square_to_the_window_gets_all_of_one():
    toward, weight = sky(np.eye(3))
    assert (weight > 0).all()
    assert np.linalg.norm(toward, axis=1) == pytest.approx(1.0)
    assert (weight * np.maximum(toward @ WINDOW, 0)).sum() == pytest.approx(1.0)
    assert (toward[:, 2] > 0).all()


@pytest.mark.usefixtures("_gl")
def test_a_convex_body_shades_nothing_but_what_turns_away():
    ball = smooth_mesh_of(shapes.sphere(), 1, 10.0)
    light = brightness(casters(shapes.sphere()), ball.points, ball.normals, np.eye(3))
    toward, weight = sky(np.eye(3))
    free = (np.maximum(ball.normals @ toward.T, 0) * weight).sum(axis=1)
    # Grazing directions may be lost to the shadow map's own grain.
    assert np.abs(light - free).mean() < 0.01
    assert np.abs(light - free).max() < 0.1


@pytest.mark.usefixtures("_gl")
def test_the_floor_of_a_pit_gets_only_what_its_mouth_lets_in():
    well = shapes.ring(outer=40.0, inner=20.0, height=40.0)
    floor, up = np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    toward, weight = sky(np.eye(3))
    mouth = np.degrees(np.arccos(toward[:, 2])) < np.degrees(np.arctan(20 / 40))
    expected = (weight * toward[:, 2])[mouth].sum()
    light = brightness(casters(well), floor, up, np.eye(3))
    assert light[0] == pytest.approx(expected, abs=0.03)
    assert light[0] < 0.5 * (weight * toward[:, 2]).sum()


def test_normals_of_a_ball_point_outward():
    ball = shapes.sphere()
    normals = corner_normals(ball.vertices, ball.triangles)
    outward = ball.vertices[ball.triangles.reshape(-1)] / 50.0
    assert np.einsum("ij,ij->i", normals, outward).min() > np.cos(np.radians(2))


def test_normals_of_a_block_stay_square():
    block = shapes.block()
    normals = corner_normals(block.vertices, block.triangles)
    assert np.abs(normals).max(axis=1) == pytest.approx(1.0)
    fine = smooth_mesh_of(block, 3, 10.0)
    edges = fine.points[fine.triangles] - np.roll(fine.points[fine.triangles], 1, axis=1)
    assert np.linalg.norm(edges, axis=2).max() <= 10.0 + 1e-9
    assert (fine.part == 3).all()
    twice_area = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1)
    assert twice_area.sum() / 2 == pytest.approx(block.area)


def test_ink_follows_part_depth_and_edge():
    depth, normal = np.full((20, 20), 50.0), np.zeros((20, 20, 3))
    normal[..., 2] = 1.0
    part = np.ones((20, 20), dtype=np.uint8)
    assert ink(depth, part, normal, 1.0).max() == 0.0
    other = part.copy()
    other[:, 10:] = 2
    assert ink(depth, other, normal, 1.0)[10, 9:12].max() == 1.0
    step = depth.copy()
    step[:, 10:] += 5.0
    assert ink(step, part, normal, 1.0)[10, 9] == pytest.approx(0.85)
    slope = depth + 5.0 * np.arange(20.0)
    assert ink(slope, part, normal, 1.0).max() == 0.0
    bent = normal.copy()
    bent[:, 10:] = [1.0, 0.0, 0.0]
    assert ink(depth, part, bent, 1.0)[10, 9] == pytest.approx(0.55)
