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
