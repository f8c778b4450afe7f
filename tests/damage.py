"""Known damage to known solids, for tests of mending."""

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.solid import Solid

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]


def torn(solid: Solid, share: float, seed: int = 1) -> Piece:
    """Take a share of the faces away at random."""
    kept = np.random.default_rng(seed).random(solid.triangle_count) > share
    return Piece("torn", np.array(solid.vertices), solid.triangles[kept])


def flipped(solid: Solid, share: float, seed: int = 1) -> Piece:
    """Wind a share of the faces the other way at random."""
    triangles = np.array(solid.triangles)
    chosen = np.random.default_rng(seed).random(len(triangles)) < share
    triangles[chosen] = triangles[chosen, ::-1]
    return Piece("flipped", np.array(solid.vertices), triangles)


def jittered(solid: Solid, reach: float, seed: int = 1) -> Piece:
    """Part all faces and move each corner by up to `reach` along each axis."""
    corners = solid.vertices[solid.triangles].reshape(-1, 3)
    corners = corners + np.random.default_rng(seed).uniform(-reach, reach, corners.shape)
    return Piece("jittered", corners, np.arange(len(corners)).reshape(-1, 3))


def opened(solid: Solid, height: float) -> tuple[Piece, float]:
    """Cut the back off at a height and leave it open; the volume it had closed comes along."""
    above = Solid.checked(solid.kernel.trim_by_plane((0.0, 0.0, 1.0), height))
    cap = (np.abs(above.vertices[above.triangles][:, :, 2] - height) < 1e-9).all(axis=1)
    return Piece("opened", np.array(above.vertices), above.triangles[~cap]), above.volume


def tube(line: Floats, radius: float, around: int = 32) -> Piece:
    """A round tube with closed ends along (n, 3) points, whatever it runs through on its way."""
    forward = np.gradient(line, axis=0)
    forward /= np.linalg.norm(forward, axis=1, keepdims=True)
    side = np.cross(forward, (0.31, 0.17, 0.93))
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    up = np.cross(forward, side)
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)[None, :, None]
    rings = line[:, None] + radius * (np.cos(angle) * side[:, None] + np.sin(angle) * up[:, None])
    points = np.vstack([line[:1], rings.reshape(-1, 3), line[-1:]])
    row, column = np.meshgrid(np.arange(len(line) - 1), np.arange(around), indexing="ij")
    a, b = 1 + row * around + column, 1 + row * around + (column + 1) % around
    sides = [np.stack([a, b, b + around], -1), np.stack([a, b + around, a + around], -1)]
    last, edge = len(points) - 1, np.arange(around)
    after = (edge + 1) % around
    ends = [
        np.stack([np.zeros(around, int), 1 + after, 1 + edge], -1),
        np.stack([np.full(around, last), last - around + edge, last - around + after], -1),
    ]
    return Piece("tube", points, np.concatenate([*(side.reshape(-1, 3) for side in sides), *ends]))
