"""Strokes that cross themselves judged from outside: by counting voxels, and by another library.

What a round tube fills is all that is nearer to its line than its radius (A. Gray, Tubes, 2nd ed., 2004,
chapter 1): counted point by point on a grid. Winding numbers by libigl (A. Jacobson et al., Robust
inside-outside segmentation using generalized winding numbers, SIGGRAPH 2013); closedness by trimesh.
"""

from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from bench.rough_sculpt import rough_sculpt
from damage import tube
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import survey
from sculpts import sculpt

RING, RADIUS = 24.0, 7.0


def mended(piece: Piece) -> Solid:
    (met,) = survey(sculpt(piece)).pieces
    assert met.mending is not None
    assert met.mending.doubled > 0
    assert met.grade == "mended"
    assert met.solid is not None
    assert trimesh.Trimesh(met.solid.vertices, met.solid.triangles, process=False).is_volume
    return met.solid


def rings(apart: float, turn: np.ndarray) -> np.ndarray:
    """Round the left ring leftward, then round the right one rightward, from where they are nearest."""
    half = len(turn) // 2
    side = np.where(np.arange(len(turn)) < half, -1.0, 1.0)
    return np.stack([side * (apart - RING * np.cos(turn)), RING * np.sin(turn), np.zeros(len(turn))], axis=1)


def counted(near: Callable[..., np.ndarray], size: tuple[float, float, float], pitch: float) -> float:
    """Volume of the points of a grid round the origin for which `near(x, y, z)` holds."""
    x, y, z = (np.arange(-extent / 2 + pitch / 2, extent / 2, pitch) for extent in size)
    return pitch**3 * sum(int(np.count_nonzero(near(x[:, None], y[None, :], height))) for height in z)


def test_a_tube_along_a_figure_of_eight_fills_two_rings_that_overlap():
    line = rings(RING, np.linspace(0.0, 4.0 * np.pi, 1201))

    def near(x: np.ndarray, y: np.ndarray, z: float) -> np.ndarray:
        left, right = (np.hypot(x - place, y) for place in (-RING, RING))
        return np.minimum(np.abs(left - RING), np.abs(right - RING)) ** 2 + z * z < RADIUS * RADIUS

    size = (4 * RING + 2 * RADIUS, 2 * RING + 2 * RADIUS, 2 * RADIUS)
    solid = mended(tube(line, RADIUS, 128))
    assert solid.volume == pytest.approx(counted(near, size, 0.2), rel=1e-3)


def test_a_tube_along_a_figure_of_eight_that_passes_over_itself_fills_what_voxels_tell():
    """The line climbs by less than the tube is thick, and is met with itself at a slant."""
    turn = np.linspace(0.0, 2.0 * np.pi, 1601)
    line = np.stack([40.0 * np.sin(turn), 20.0 * np.sin(2.0 * turn), 3.0 * np.cos(turn)], axis=1)
    tree = cKDTree(line)

    def near(x: np.ndarray, y: np.ndarray, z: float) -> np.ndarray:
        points = np.stack(np.broadcast_arrays(x, y, z), axis=-1)
        return np.isfinite(tree.query(points, distance_upper_bound=RADIUS)[0])

    solid = mended(tube(line, RADIUS, 128))
    size = tuple(np.ptp(line, axis=0) + 2.0 * RADIUS)
    assert solid.volume == pytest.approx(counted(near, size, 0.4), rel=1e-3)


@pytest.mark.parametrize("number", range(4))
def test_winding_numbers_agree_on_what_a_tightly_bent_stroke_fills(number):
    igl = pytest.importorskip("igl")
    name, vertices, faces = [
        each for each in rough_sculpt(40_000, crossing=4) if each[0].startswith("stroke")
    ][number]
    solid = mended(Piece(name, vertices, faces))
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    points = np.random.default_rng(number).uniform(low, high, (60_000, 3))
    before = igl.fast_winding_number(vertices, faces, points)
    after = igl.fast_winding_number(np.array(solid.vertices), np.array(solid.triangles), points)
    inside = np.abs(before) > 0.5
    assert np.mean(inside != (after > 0.5)) < 1e-4
    assert after.max() < 1.2
    box = float(np.prod(high - low))
    spread = 3.0 * np.sqrt(inside.mean() * (1 - inside.mean()) / len(points))
    assert solid.volume / box == pytest.approx(inside.mean(), abs=spread)
