"""Raw sculpts made of known solids, for tests to import."""

import numpy as np

from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.geometry.mesh.solid import Solid


def piece(
    name: str, solid: Solid, *, inside_out: bool = False, shift: tuple[float, ...] = (0, 0, 0)
) -> Piece:
    """Give a solid's surface as a sculpt's piece."""
    triangles = solid.triangles[:, ::-1] if inside_out else solid.triangles
    return Piece(name, solid.vertices + np.array(shift, dtype=float), np.array(triangles))


def sculpt(*pieces: Piece, digest: str = "0" * 32) -> Sculpt:
    """Give pieces as a sculpt read from a file near the origin."""
    return Sculpt(tuple(pieces), np.zeros(3), digest)


def turned(source: Sculpt, rotation: np.ndarray, factor: float = 1.0) -> Sculpt:
    """Give the same sculpt rotated and scaled about the origin."""
    pieces = [
        Piece(each.name, each.vertices @ rotation.T * factor, np.array(each.triangles))
        for each in source.pieces
    ]
    return Sculpt(tuple(pieces), source.origin, source.digest)


def height_field(height, *, n: int = 81, half: float = 50.0, keep=None) -> Piece:
    """A sheet over a square, facing +z; `keep` picks its squares by their middles."""
    x, y = np.meshgrid(*2 * [np.linspace(-half, half, n)], indexing="ij")
    points = np.stack([x, y, height(x, y)], axis=-1).reshape(-1, 3)
    i, j = (each.ravel() for each in np.meshgrid(*2 * [np.arange(n - 1)], indexing="ij"))
    a, b, c, d = i * n + j, (i + 1) * n + j, (i + 1) * n + j + 1, i * n + j + 1
    squares = np.stack([a, b, c, a, c, d], axis=1)
    if keep is not None:
        squares = squares[keep(*points[squares].mean(axis=1).T[:2])]
    return Piece("relief", points, squares.reshape(-1, 3))


def waves(x, y):
    """Give heights that integrate to nothing over a square of 100, and whose slopes do."""
    return 6.0 * np.cos(np.pi * x / 50.0) * np.cos(np.pi * y / 50.0)
