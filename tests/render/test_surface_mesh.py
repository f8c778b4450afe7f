"""What is told to the graphics card: normals, edges and hollows."""

import numpy as np
import pytest

from holdwright.pipeline.views.display_results import Surface, surface_of
from holdwright.render.surface_mesh import SurfaceMesh, surface_mesh
from shapes import block, frustum, ring, sphere


def corner_normals(made: SurfaceMesh) -> np.ndarray:
    return made.normals[made.triangles]


def face_normals(made: SurfaceMesh) -> np.ndarray:
    corners = made.points[made.triangles].astype(float)
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return across / np.linalg.norm(across, axis=1, keepdims=True)


def line_length(made: SurfaceMesh) -> float:
    ends = made.points[made.lines]
    return float(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).sum())


def test_a_box_keeps_flat_faces_and_its_twelve_edges():
    made = surface_mesh(surface_of(block(100, 80, 40)))
    assert corner_normals(made) == pytest.approx(np.repeat(face_normals(made)[:, None], 3, axis=1), abs=1e-6)
    assert line_length(made) == pytest.approx(4 * (100 + 80 + 40))


def test_a_ball_is_smooth_all_over():
    made = surface_mesh(surface_of(sphere(50.0, 96)))
    assert len(made.lines) == 0
    outward = made.points / np.linalg.norm(made.points, axis=1, keepdims=True)
    assert np.einsum("ij,ij->i", made.normals, outward).min() > 0.999


def test_a_cone_frustum_has_two_round_edges():
    made = surface_mesh(surface_of(frustum(40, 30, 30, 128)))
    assert line_length(made) == pytest.approx(2 * np.pi * (40 + 30), rel=1e-3)


def test_triangles_stay_what_they_were():
    surface = surface_of(ring())
    made = surface_mesh(surface)
    assert np.array_equal(made.vertex[made.triangles], surface.triangles)
    assert np.array_equal(made.points, surface.vertices[made.vertex])


def test_slivers_on_a_flat_face_get_no_line():
    # A square whose lower edge carries a triangle 1 um high, hanging at any angle within rounding.
    points = np.array([[0, 0, 0], [50, 0, 0], [50, 50, 0], [0, 50, 0], [25, -1e-6, 1e-6]], dtype=np.float32)
    triangles = np.array([[0, 1, 2], [0, 2, 3], [1, 0, 4]], dtype=np.int32)
    assert len(surface_mesh(Surface(points, triangles)).lines) == 0


def test_hollows_are_told_from_heights():
    """A wave of a surface: dark in its valleys, bright on its crests."""
    line = np.linspace(0, 100, 60)
    x, y = np.meshgrid(line, line, indexing="ij")
    points = np.stack([x, y, 4.0 * np.sin(x / 8.0)], axis=-1).reshape(-1, 3).astype(np.float32)
    corner = np.arange(3600).reshape(60, 60)
    low, right, far, up = corner[:-1, :-1], corner[1:, :-1], corner[1:, 1:], corner[:-1, 1:]
    triangles = np.stack([low, right, far, low, far, up], axis=-1).reshape(-1, 3).astype(np.int32)
    made = surface_mesh(Surface(points, triangles))
    inner = (np.abs(points[:, :2] - 50) < 40).all(axis=1)
    valley, crest = points[:, 2] < -3.8, points[:, 2] > 3.8
    assert made.hollow[inner & valley].min() > 0.1
    assert made.hollow[inner & crest].max() < -0.1


@pytest.mark.parametrize("fine", [True, False])
def test_a_plain_skin_does_for_nothing_too(fine):
    empty = Surface(np.zeros((0, 3), dtype=np.float32), np.zeros((0, 3), dtype=np.int32))
    made = surface_mesh(empty, fine=fine)
    assert len(made.points) == len(made.triangles) == len(made.lines) == 0


def test_light_shows_no_step_along_a_chain_of_needles():
    """A cylinder of 36 sides, one edge doubled 0.02 mm away: normals on both sides of the needles agree."""
    around = np.radians(np.arange(0.0, 360.0, 10.0))
    profile = [(30.0 * np.cos(a), 30.0 * np.sin(a)) for a in around]
    ahead = np.subtract(profile[1], profile[0])
    profile.insert(1, tuple(np.add(profile[0], ahead * 0.02 / np.linalg.norm(ahead))))
    count, levels = len(profile), 6
    points = np.array([(x, y, 5.0 * level) for level in range(levels) for x, y in profile], dtype=np.float32)
    quads = [
        (level * count + side, level * count + (side + 1) % count)
        for level in range(levels - 1)
        for side in range(count)
    ]
    triangles = np.array(
        [each for a, b in quads for each in ((a, b, b + count), (a, b + count, a + count))], dtype=np.int32
    )
    made = surface_mesh(Surface(points, triangles))
    middle = 3 * count
    one, other = (made.normals[made.vertex == middle + side][-1] for side in (0, 1))
    assert np.degrees(np.arccos(np.clip(one @ other, -1.0, 1.0))) < 1.0
    assert np.degrees(np.arccos(np.clip(one @ (1.0, 0.0, 0.0), -1.0, 1.0))) < 1.0
