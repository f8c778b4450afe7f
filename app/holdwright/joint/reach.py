"""Where on a hold a load does most harm: the worst points of the grip surface that a climber can load."""

import math
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.sculpt import Floats

FAN = (-45.0, -30.0, -15.0, 0.0, 15.0, 30.0, 45.0)
"""Directions of load that are looked at: straight down the wall, and turned from it, degrees."""

STEEPEST = 70.0
"""A surface can be loaded where its normal is within this of facing the load, degrees: our own measure."""


@dataclass(frozen=True, eq=False)
class Reach:
    """The worst points for each direction of load.

    Attributes
    ----------
    middle
        (2,) middle of the bolts.
    directions
        (n, 2) unit vectors in the wall's plane.
    arms
        (n,) greatest distance, seen square to the wall, from the middle of the bolts to a load's line, mm.
    arm_points
        (n, 3) where that is.
    heights
        (n,) greatest height of a load above the wall, mm.
    height_points
        (n, 3) where that is.
    """

    middle: Floats
    directions: Floats
    arms: Floats
    arm_points: Floats
    heights: Floats
    height_points: Floats

    @property
    def arm(self) -> float:
        """Greatest arm of all directions, mm."""
        return float(self.arms.max())

    @property
    def arm_point(self) -> Floats:
        """(3,) where that is."""
        return np.asarray(self.arm_points[self.arms.argmax()])

    @property
    def height(self) -> float:
        """Greatest height of all directions, mm."""
        return float(self.heights.max())

    @property
    def height_point(self) -> Floats:
        """(3,) where that is."""
        return np.asarray(self.height_points[self.heights.argmax()])


def reach(corners: Floats, middle: Floats, rim: float = 0.0) -> Reach:
    """Find the worst points.

    Parameters
    ----------
    corners
        (m, 3, 3) triangles of the grip surface, outward, mm; up on the wall is +y, away from it +z.
    middle
        (2,) middle of the bolts.
    rim
        Height of the straight rim, mm, which is no grip: what lies below is left out.

    Notes
    -----
    A load acts at any corner of a triangle that faces it within `STEEPEST`; whether a finger finds room there
    is not looked at, so that the figures are on the safe side. Where nothing faces the load, all of the
    surface counts.
    """
    above = corners[(corners[:, :, 2] > rim).any(axis=1)]
    corners = above if len(above) else corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    places = _above(corners, rim).reshape(-1, 3)
    size = np.linalg.norm(normals, axis=1)
    facing = np.repeat(normals[:, :2] / np.where(size > 0, size, 1.0)[:, None], 3, axis=0)
    turns = np.radians(np.array(FAN) - 90.0)
    directions = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    relative = places[:, :2] - middle
    arms, heights, arm_points, height_points = [], [], [], []
    for x, y in directions:
        loaded = facing @ (-x, -y) >= math.cos(math.radians(STEEPEST))
        loaded = loaded if loaded.any() else np.ones(len(places), dtype=np.bool_)
        arm = np.where(loaded, np.abs(relative @ (-y, x)), -1.0)
        height = np.where(loaded, places[:, 2], -np.inf)
        arms.append(float(arm.max()))
        heights.append(max(float(height.max()), 0.0))
        arm_points.append(places[arm.argmax()])
        height_points.append(places[height.argmax()])
    return Reach(
        middle, directions, np.array(arms), np.array(arm_points), np.array(heights), np.array(height_points)
    )


def _above(corners: Floats, rim: float) -> Floats:
    """Move corners below the rim's height up to it, along the edge to their triangle's highest corner."""
    highest = corners[np.arange(len(corners)), corners[:, :, 2].argmax(axis=1)][:, None, :]
    below = (corners[:, :, 2] < rim) & (highest[:, :, 2] > rim)
    rise = np.where(below, highest[:, :, 2] - corners[:, :, 2], 1.0)
    share = np.where(below, (rim - corners[:, :, 2]) / rise, 0.0)
    return np.asarray(corners + share[:, :, None] * (highest - corners))
