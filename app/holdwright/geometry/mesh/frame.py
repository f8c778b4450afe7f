"""Placing things in space: (4, 4) float64 placements acting on column points."""

import math

import numpy as np

from holdwright.geometry.arrays import Floats


def placement(linear: Floats | None = None, shift: Floats | None = None) -> Floats:
    """Put a (3, 3) linear part and a (3,) shift together; the identity where left out."""
    matrix = np.eye(4)
    if linear is not None:
        matrix[:3, :3] = linear
    if shift is not None:
        matrix[:3, 3] = shift
    return matrix


def scaling(factor: float) -> Floats:
    """Scale by `factor` about the origin."""
    return placement(linear=np.eye(3) * factor)


def scale_of(matrix: Floats) -> float:
    """Length ratio of a similarity."""
    return float(abs(np.linalg.det(matrix[:3, :3])) ** (1.0 / 3.0))


def lean(tilt: float, toward: float) -> tuple[float, float, float]:
    """Give the unit axis that leans `tilt` degrees off the wall's normal.

    Parameters
    ----------
    toward
        Where its outer end leans to, degrees on the wall: 0 to the right (+x), 90 up (+y).
    """
    if tilt == 0.0:
        return (0.0, 0.0, 1.0)
    sideways, way = math.sin(math.radians(tilt)), math.radians(toward)
    return (sideways * math.cos(way), sideways * math.sin(way), math.cos(math.radians(tilt)))


def move_points(matrix: Floats, points: Floats) -> Floats:
    """Map (n, 3) or (3,) points."""
    return np.asarray(points @ matrix[:3, :3].T + matrix[:3, 3])


def move_direction(matrix: Floats, direction: Floats) -> Floats:
    """Map a (3,) direction and make it a unit vector again (similarities only)."""
    moved = matrix[:3, :3] @ np.asarray(direction, dtype=np.float64)
    return np.asarray(moved / np.linalg.norm(moved))
