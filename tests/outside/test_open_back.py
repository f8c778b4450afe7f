"""A sheet closed by a flat back, judged by closed forms and other libraries.

Volumes of the spherical segment (Bronshtein and Semendyayev, Handbook of Mathematics, 3.3.4) and of a height
field by its integral.
"""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from damage import opened
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.geometry.repair.fuse import survey
from holdwright.geometry.repair.pieces import SculptPiece
from sculpts import height_field, sculpt, waves
from shapes import sphere

MOUNTAIN = Path(__file__).resolve().parents[3] / "shared" / "meshes" / "mesh" / "mountain.obj"
STOCK = 0.02
"""Share of the sheet's diagonal by which the back lies behind its lowest point."""


def closed(piece: Piece | Sculpt, **more) -> SculptPiece:
    source = piece if isinstance(piece, Sculpt) else sculpt(piece)
    (met,) = survey(source, open_back=True, **more).pieces
    return met


def turned(piece: Piece, seed: int) -> Piece:
    turn = Rotation.random(random_state=seed).as_matrix()
    return Piece(piece.name, piece.vertices @ turn.T + [300.0, -50.0, 7.0], piece.triangles)


@pytest.mark.parametrize("seed", [None, 1, 2, 3])
def test_a_height_field_has_its_integral_above_the_back(seed):
    """The waves integrate to nothing over whole periods, so what is left is the back's depth."""
    field = height_field(waves)
    low = float(field.vertices[:, 2].min())
    field = field if seed is None else turned(field, seed)
    solid = closed(field).solid
    stock = STOCK * np.linalg.norm(np.ptp(field.vertices, axis=0))
    assert solid.volume == pytest.approx(100.0**2 * (stock - low), rel=1e-6)
    assert trimesh.Trimesh(solid.vertices, solid.triangles, process=False).is_volume


@pytest.mark.parametrize("flip", [False, True], ids=["hill", "hollow"])
def test_the_back_lies_on_the_side_that_faces_look_away_from(flip):
    """One cap, facing out or in: with a flat rim and nothing behind it closed on the rim, else in a block."""
    cap, volume = opened(sphere(50.0, 256), 42.0)
    height, base = 8.0, np.sqrt(2 * 50.0 * 8.0 - 8.0**2)
    segment = np.pi * height**2 * (3 * 50.0 - height) / 3
    assert volume == pytest.approx(segment, rel=2e-3)
    triangles = cap.triangles[:, ::-1] if flip else cap.triangles
    met = closed(Piece("cap", cap.vertices, triangles)).solid
    diagonal = np.sqrt(8 * base**2 + height**2)
    whole = np.pi * base**2 * (height + STOCK * diagonal) - segment if flip else segment
    assert met.volume == pytest.approx(whole, rel=3e-3)


def test_half_a_ball_is_half_a_ball():
    half, _ = opened(sphere(50.0, 256), 0.0)
    assert closed(half).solid.volume == pytest.approx(2 / 3 * np.pi * 50.0**3, rel=1e-3)


def test_faces_wound_at_random_leave_the_side_that_most_of_them_face():
    field = height_field(waves)
    triangles = np.array(field.triangles)
    some = np.random.default_rng(2).random(len(triangles)) < 0.2
    triangles[some] = triangles[some, ::-1]
    met = closed(Piece("relief", field.vertices, triangles)).solid
    assert met.volume == pytest.approx(closed(field).solid.volume, rel=1e-9)


def test_holes_within_are_closed_and_a_second_rim_is_refused_with_its_width():
    def torn(radius):
        return height_field(waves, keep=lambda x, y: np.hypot(x, y) > radius)

    met = closed(torn(6.0))
    assert met.solid.volume == pytest.approx(closed(height_field(waves)).solid.volume, rel=5e-3)
    assert sorted(hole.kind for hole in met.mending.holes) == ["back", "fair"]
    assert closed(torn(6.0), largest_hole=0.01).defect.kind == "wide hole"
    refused = closed(torn(40.0))
    assert refused.solid is None
    assert refused.defect.kind == "several rims"
    assert refused.defect.rims[1] == pytest.approx(80.0 * np.sqrt(2), rel=0.1)


def test_a_rim_that_crosses_itself_seen_from_behind_is_refused():
    """A spiral ramp of more than one turn: its upper end lies over its lower."""
    turn, across = np.meshgrid(np.linspace(0, 2.6 * np.pi, 200), np.linspace(20.0, 50.0, 12), indexing="ij")
    points = np.stack([across * np.cos(turn), across * np.sin(turn), 3.0 * turn], axis=-1).reshape(-1, 3)
    i, j = (each.ravel() for each in np.meshgrid(np.arange(199), np.arange(11), indexing="ij"))
    a, b, c, d = i * 12 + j, (i + 1) * 12 + j, (i + 1) * 12 + j + 1, i * 12 + j + 1
    ramp = Piece("ramp", points, np.stack([a, c, b, a, d, c], axis=1).reshape(-1, 3))
    met = closed(ramp)
    assert met.solid is None
    assert met.defect.kind == "crossed rim"
    assert met.defect.rims[0] == pytest.approx(np.linalg.norm(np.ptp(points, axis=0)), rel=1e-6)


@pytest.mark.shared
@pytest.mark.skipif(not MOUNTAIN.exists(), reason="no folder of real meshes beside the project")
def test_a_real_relief_is_closed_and_its_face_kept():
    source = read_sculpt(MOUNTAIN)
    met = closed(source)
    solid = trimesh.Trimesh(met.solid.vertices, met.solid.triangles, process=False)
    assert solid.is_volume
    assert solid.body_count == 1
    (group,) = source.pieces
    extent = float(np.ptp(group.vertices, axis=0).max())
    gaps, _ = cKDTree(solid.vertices).query(group.vertices)
    assert gaps.max() < 1e-6 * extent
    corners = group.vertices[group.triangles]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).sum(axis=0) / 2
    away = solid.face_normals @ (facing / np.linalg.norm(facing))
    assert solid.area_faces[away < -0.999].sum() == pytest.approx(np.linalg.norm(facing), rel=0.01)
