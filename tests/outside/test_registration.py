"""Registration against known motions of meshes nobody here made, and against what trimesh makes of them.

trimesh's `registration.procrustes` is given which vertex is which, and has the best similarity in closed form
(S. Umeyama, Least-squares estimation of transformation parameters between two point patterns, 1991); the
registration is told nothing. Its `registration.icp` is begun where ours ended and must find nothing better.
"""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.registration import register
from holdwright.geometry.measure.shape_points import shape_points
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.mesh import Mesh

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "meshes" / "mesh"
SAMPLES = Path(__file__).resolve().parents[2] / "sample_data"
MESHES = [
    "blub_open.obj",
    "curiosity_rock2.obj",
    "eros_bin.ply",
    "hand_open.obj",
    "hermione.obj",
    "koala_low.obj",
    "mountain.obj",
    "rock_group_rts.obj",
    "rock_nature4.obj",
    "skull_low.obj",
    "spot_quads.obj",
]
"""All but those that symmetry allows to be laid in several ways."""

ACROSS = 150.0
"""Largest extent each is given, mm."""


def one_mesh(path: Path) -> Mesh:
    whole = Mesh.joined([piece.mesh for piece in read_sculpt(path).pieces])
    return Mesh(whole.vertices * ACROSS / whole.size.max(), whole.triangles)


def told_anew(surface: Mesh, generator: np.random.Generator) -> Mesh:
    order = generator.permutation(len(surface.triangles))
    return Mesh(surface.vertices, np.roll(surface.triangles[order], 1, axis=1))


def check_known_motion(surface: Mesh, seed: int) -> None:
    generator = np.random.default_rng(seed)
    turn = Rotation.random(random_state=generator).as_matrix()
    scale = float(generator.uniform(0.6, 1.7))
    motion = placement(turn * scale, generator.normal(size=3) * 80.0)
    new = told_anew(surface, generator).moved(motion)
    found = register(shape_points(surface), new)
    back = move_points(found.placement, new.vertices)
    assert np.linalg.norm(back - surface.vertices, axis=1).max() < 0.1
    known, _, _ = trimesh.registration.procrustes(new.vertices, surface.vertices, reflection=False)
    assert found.scaled == pytest.approx(1.0 / np.cbrt(np.linalg.det(known[:3, :3])), rel=1e-3)
    left = found.placement[:3, :3] @ np.linalg.inv(known[:3, :3])
    angle = Rotation.from_matrix(left / np.cbrt(np.linalg.det(left))).magnitude()
    assert np.degrees(angle) < 0.1


@pytest.mark.shared
@pytest.mark.skipif(not FOLDER.is_dir(), reason="no folder of real meshes beside the project")
@pytest.mark.parametrize("name", MESHES)
def test_known_motions_of_real_meshes_are_found_within_a_tenth_of_a_millimetre_and_degree(name):
    check_known_motion(one_mesh(FOLDER / name), MESHES.index(name))


def test_known_motions_of_a_sample_are_found_within_a_tenth_of_a_millimetre_and_degree():
    check_known_motion(one_mesh(SAMPLES / "hall-crimp.obj"), 3)


def test_the_least_squares_of_another_library_find_nothing_better():
    surface = one_mesh(SAMPLES / "hall-sloper.obj")
    generator = np.random.default_rng(2)
    motion = placement(Rotation.random(random_state=generator).as_matrix(), np.array([20.0, 30.0, -10.0]))
    rough = surface.vertices + generator.normal(scale=0.05, size=surface.vertices.shape)
    new = told_anew(Mesh(rough, surface.triangles), generator).moved(motion)
    found = register(shape_points(surface), new)
    asked, dense = shape_points(new, 1500).points, shape_points(surface, 100_000).points
    further, _, _ = trimesh.registration.icp(
        asked, dense, initial=found.placement, max_iterations=10, reflection=False, scale=False
    )
    apart = move_points(further, asked) - move_points(found.placement, asked)
    assert np.linalg.norm(apart, axis=1).max() < 0.1
