"""What a climber does to a hold, and where."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats

FAN = 45.0
"""A hold mounted one way up is loaded straight down the wall and up to this far from it, degrees."""

GRAVITY = 9.80665
"""m/s2: standard acceleration of free fall, 3rd General Conference on Weights and Measures, 1901."""


@dataclass(frozen=True)
class Load:
    """Force on a hold in N."""

    along: float
    """Along the wall."""
    outward: float
    """Away from the wall, as on an overhang."""


def load_of(
    mass: float, factor: float, overhang: float = 0.0, least: tuple[float, float] = (0.0, 0.0)
) -> Load:
    """Give the force of a climber's weight.

    Parameters
    ----------
    mass
        kg.
    factor
        How many times the weight acts.
    overhang
        How far the wall leans over from the vertical, degrees.
    least
        Shares of the force that act along the wall and outward at least, however the wall leans.
    """
    force, angle = mass * GRAVITY * factor, math.radians(overhang)
    return Load(force * max(math.cos(angle), least[0]), force * max(math.sin(angle), least[1]))


@dataclass(frozen=True, eq=False)
class Loads:
    """Where loads act and which way: unit vectors (m, 2) along the wall, and points (m, 3) in mm."""

    directions: Floats
    points: Floats

    @cached_property
    def one_way_up(self) -> "Loads":
        """Those on a hold that is always mounted with +y up."""
        down = self.directions[:, 1] <= -math.cos(math.radians(FAN)) + 1e-9
        return Loads(self.directions[down], self.points[down])

    def seen_from(self, middle: Floats) -> "Loads":
        """Move the origin to (2,)."""
        return Loads(self.directions, self.points - (*middle, 0.0))

    @cached_property
    def sides(self) -> Floats:
        """(m,) coordinate of each load's line along (-y, x) of its direction, mm."""
        (x, y), (u, v) = self.points[:, :2].T, self.directions.T
        return np.asarray(y * u - x * v)

    def arms(self, places: Floats) -> Floats:
        """Greatest arm (n,) of any load about bolts at places (n, 2), mm."""
        across, low, high = self._outer
        lines = places @ across
        return np.asarray(np.maximum(high - lines, lines - low).max(axis=1))

    @cached_property
    def _outer(self) -> tuple[Floats, Floats, Floats]:
        """(2, k) what lies across each direction, and (k,) the outermost lines of load along it, mm."""
        directions, which = np.unique(self.directions, axis=0, return_inverse=True)
        low, high = np.full(len(directions), np.inf), np.full(len(directions), -np.inf)
        np.minimum.at(low, which.reshape(-1), self.sides)
        np.maximum.at(high, which.reshape(-1), self.sides)
        return np.stack([-directions[:, 1], directions[:, 0]]), low, high


@dataclass(frozen=True, eq=False)
class Reach:
    """The outermost points a climber can load, for each direction of load."""

    middle: Floats
    """(2,) middle of the bolts."""
    loads: Loads

    @cached_property
    def one_way_up(self) -> "Reach":
        """That of a hold which is always mounted with +y up."""
        return Reach(self.middle, self.loads.one_way_up)

    @cached_property
    def arms(self) -> Floats:
        """(m,) distance, seen square to the wall, from the middle of the bolts to each load's line, mm."""
        return np.asarray(np.abs(self.loads.seen_from(self.middle).sides))

    @property
    def arm(self) -> float:
        """Greatest arm, mm."""
        return float(self.arms.max())

    @property
    def arm_point(self) -> Floats:
        """(3,) where that is."""
        return np.asarray(self.loads.points[self.arms.argmax()])

    @property
    def height(self) -> float:
        """Greatest height of a load above the wall, mm."""
        return float(self.loads.points[:, 2].max())

    @property
    def height_point(self) -> Floats:
        """(3,) where that is."""
        return np.asarray(self.loads.points[self.loads.points[:, 2].argmax()])
