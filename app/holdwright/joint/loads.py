"""What a climber does to a hold, and the points of its grip surface where a load does most harm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats

FAN = (-45.0, -30.0, -15.0, 0.0, 15.0, 30.0, 45.0)
"""Directions of load that are looked at: straight down the wall, and turned from it, degrees."""

STEEPEST = 70.0
"""A surface can be loaded where its normal is within this of facing the load, degrees: our own measure."""

GRASP = 25.0
"""Area that a finger needs to load a hold, mm2: our own measure. A speck that faces the load is no grip."""

_MANY = 4096

GRAVITY = 9.80665
"""m/s2: standard acceleration of free fall, 3rd General Conference on Weights and Measures, 1901."""


@dataclass(frozen=True)
class Load:
    """Force on a hold in N."""

    along: float
    """Along the wall."""
    outward: float
    """Away from the wall, as on an overhang."""


def load_of(mass: float, factor: float, overhang: float = 0.0) -> Load:
    """Give the force of a climber's weight.

    Parameters
    ----------
    mass
        kg.
    factor
        How many times the weight acts.
    overhang
        How far the wall leans over from the vertical, degrees.
    """
    force, angle = mass * GRAVITY * factor, math.radians(overhang)
    return Load(force * math.cos(angle), force * math.sin(angle))


@dataclass(frozen=True, eq=False)
class Loads:
    """Where loads act and which way: unit vectors (m, 2) along the wall, and points (m, 3) in mm."""

    directions: Floats
    points: Floats

    @classmethod
    def at(cls, directions: Floats, *points: Floats) -> "Loads":
        """Put each of several rows of points (n, 3) to the same directions (n, 2)."""
        return cls(np.tile(directions, (len(points), 1)), np.concatenate(points))

    def seen_from(self, middle: Floats) -> "Loads":
        """Move the origin to (2,)."""
        return Loads(self.directions, self.points - (*middle, 0.0))


@dataclass(frozen=True, eq=False)
class Reach:
    """The worst points for each direction of load."""

    middle: Floats
    """(2,) middle of the bolts."""
    directions: Floats
    """(n, 2) unit vectors in the wall's plane."""
    arms: Floats
    """(n,) greatest distance, seen square to the wall, from the middle of the bolts to a load's line, mm."""
    arm_points: Floats
    """(n, 3) where that is."""
    heights: Floats
    """(n,) greatest height of a load above the wall, mm."""
    height_points: Floats
    """(n, 3) where that is."""

    @property
    def loads(self) -> Loads:
        """Loads at the worst points."""
        return Loads.at(self.directions, self.height_points, self.arm_points)

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


@dataclass(frozen=True, eq=False)
class Sides:
    """How far to either side of a load's line, and how high, a hold can be loaded; wherever its bolts are."""

    directions: Floats
    """(n, 2) unit vectors (x, y) in the wall's plane."""
    low: Floats
    high: Floats
    """low, high: (n,) least and greatest coordinate of a load's line along (-y, x), mm."""
    loads: Loads
    """At those points and at the highest ones."""

    def arms(self, places: Floats) -> Floats:
        """Greatest arm (n,) of any load about bolts at places (n, 2), mm."""
        across = places @ np.stack([-self.directions[:, 1], self.directions[:, 0]])
        return np.asarray(np.maximum(self.high - across, across - self.low).max(axis=1))


def sides(corners: Floats, rim: float = 0.0) -> Sides:
    """Find them; parameters and what counts are as of `reach`."""
    found = []
    for (x, y), faces, area in _loaded(corners, rim):
        across = faces[:, :, :2] @ (-y, x)
        low, low_point = _farthest(-across, faces, area)
        high, high_point = _farthest(across, faces, area)
        high_up = _farthest(faces[:, :, 2], faces, area)[1]
        found.append(((x, y), -low, high, high_up, low_point, high_point))
    directions, lows, highs, *points = (np.array(each) for each in zip(*found, strict=True))
    return Sides(directions, lows, highs, Loads.at(directions, *points))


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
    A load acts at any corner of a triangle that faces it within `STEEPEST`, as far out as `GRASP` of such
    surface reaches; whether a finger finds room there is not looked at, so that the figures are on the safe
    side. Where nothing faces the load, all of the surface counts.
    """
    found = []
    for (x, y), faces, area in _loaded(corners, rim):
        arm = np.abs((faces[:, :, :2] - middle) @ (-y, x))
        found.append(((x, y), *_farthest(arm, faces, area), *_farthest(faces[:, :, 2], faces, area)))
    return Reach(middle, *(np.array(each) for each in zip(*found, strict=True)))


def _loaded(corners: Floats, rim: float) -> Iterator[tuple[tuple[float, float], Floats, Floats]]:
    """Give each direction with the triangles (m, 3, 3) that can be loaded along it, and their areas (m,)."""
    above = corners[(corners[:, :, 2] > rim).any(axis=1)]
    corners = above if len(above) else corners
    normals, places = _normals(corners), _above(corners, rim)
    size = np.linalg.norm(normals, axis=1)
    facing = normals[:, :2] / np.where(size > 0, size, 1.0)[:, None]
    areas = np.linalg.norm(_normals(places), axis=1) / 2
    turns = np.radians(np.array(FAN) - 90.0)
    for x, y in zip(np.cos(turns).tolist(), np.sin(turns).tolist(), strict=True):
        loaded = np.flatnonzero(facing @ (-x, -y) >= math.cos(math.radians(STEEPEST)))
        if areas[loaded].sum() < GRASP:
            loaded = np.arange(len(places))
        yield (x, y), places[loaded], areas[loaded]


def _farthest(measure: Floats, corners: Floats, areas: Floats) -> tuple[float, Floats]:
    """Give the measure (m, 3) of corners (m, 3, 3) that `GRASP` of their surface exceeds, and where."""
    greatest = measure.max(axis=1)
    first = np.arange(len(greatest))
    if len(first) > _MANY:
        first = np.argpartition(greatest, -_MANY)[-_MANY:]
        if areas[first].sum() < GRASP:
            first = np.arange(len(greatest))
    order = first[np.argsort(-greatest[first], kind="stable")]
    chosen = order[min(int(np.searchsorted(np.cumsum(areas[order]), GRASP)), len(order) - 1)]
    return float(greatest[chosen]), corners[chosen, measure[chosen].argmax()]


def _normals(corners: Floats) -> Floats:
    """Give the normals (m, 3) of triangles (m, 3, 3), twice as long as the triangle has area."""
    return np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])


def _above(corners: Floats, rim: float) -> Floats:
    """Move corners below the rim's height up to it, along the edge to their triangle's highest corner."""
    highest = corners[np.arange(len(corners)), corners[:, :, 2].argmax(axis=1)][:, None, :]
    below = (corners[:, :, 2] < rim) & (highest[:, :, 2] > rim)
    rise = np.where(below, highest[:, :, 2] - corners[:, :, 2], 1.0)
    share = np.where(below, (rim - corners[:, :, 2]) / rise, 0.0)
    return np.asarray(corners + share[:, :, None] * (highest - corners))
