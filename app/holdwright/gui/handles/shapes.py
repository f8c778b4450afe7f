"""Lines and thin surfaces that handles are drawn with: rings, discs, turned profiles, boxes. All in mm."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.frustum import turn_to

SIDES: Final = 96
"""Sides of the polygons that stand for circles."""

Mesh = tuple[Floats, Indices]
"""(n, 3) points and (m, 3) triangles."""


def ring(centre: Floats, axis: Floats, radius: float, sides: int = SIDES) -> Floats:
    """Give a circle as a closed polyline: (sides + 1, 3), the last point as the first."""
    return _round(np.asarray(centre, dtype=np.float64), axis, radius, 0.0, 360.0, sides)


def arc(centre: Floats, radius: float, start: float, stop: float) -> Floats:
    """Give a level arc as a polyline, from one angle to another in degrees, counter-clockwise from +x."""
    sides = max(int(abs(stop - start) / 360.0 * SIDES), 1)
    return _round(np.asarray(centre, dtype=np.float64), np.array([0.0, 0.0, 1.0]), radius, start, stop, sides)


def disc(centre: Floats, axis: Floats, radius: float, sides: int = 48) -> Mesh:
    """Give a filled circle."""
    edge = ring(centre, axis, radius, sides)[:-1]
    points = np.vstack([edge, np.asarray(centre, dtype=np.float64)])
    number = np.arange(sides)
    return points, np.column_stack([number, (number + 1) % sides, np.full(sides, sides)])


def turned(profile: Sequence[tuple[float, float]], foot: Floats, axis: Floats, sides: int = 64) -> Mesh:
    """Turn a profile of (radius, height) pairs about an axis through `foot`."""
    angles = np.arange(sides) * (2.0 * np.pi / sides)
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    levels = [np.column_stack([circle * radius, np.full(sides, height)]) for radius, height in profile]
    points = np.concatenate(levels) @ turn_to(axis).T + foot
    here = np.arange(sides)
    ahead = (here + 1) % sides
    triangles = []
    for level in range(len(profile) - 1):
        low, high = level * sides, (level + 1) * sides
        triangles.append(np.column_stack([low + here, low + ahead, high + ahead]))
        triangles.append(np.column_stack([low + here, high + ahead, high + here]))
    return points, np.concatenate(triangles)


def box_edges(low: Floats, high: Floats) -> Floats:
    """Give the twelve edges of an upright box as segments (12, 2, 3)."""
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
    pairs = [(a, b) for a in range(8) for b in range(a) if np.abs(corners[a] - corners[b]).sum() == 1.0]
    placed = np.asarray(low) + corners * (np.asarray(high) - np.asarray(low))
    return np.asarray(placed[np.array(pairs)])


def quad(centre: Floats, normal: Floats, half: float) -> Mesh:
    """Give a square sheet."""
    corners = np.array([[-1.0, -1.0, 0.0], [1.0, -1.0, 0.0], [1.0, 1.0, 0.0], [-1.0, 1.0, 0.0]]) * half
    return corners @ turn_to(normal).T + centre, np.array([[0, 1, 2], [0, 2, 3]])


def _round(centre: Floats, axis: Floats, radius: float, start: float, stop: float, sides: int) -> Floats:
    angles = np.radians(np.linspace(start, stop, sides + 1))
    flat = np.column_stack([np.cos(angles), np.sin(angles), np.zeros(sides + 1)]) * radius
    return np.asarray(flat @ turn_to(axis).T + centre)
