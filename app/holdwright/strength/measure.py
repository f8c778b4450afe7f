"""The measure of a hold's stress that does not depend on the grid: what its hottest 200 mm3 exceed."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import KDTree

from holdwright.geometry.arrays import Floats, Indices

VOLUME: Final = 200.0
"""mm3. Our own choice: the greatest stress grows without end as cells get finer, this hardly changes."""

NEAR: Final = 8.0
"""What lies within this of the place that is named belongs to it, mm."""


@dataclass(frozen=True, eq=False)
class Exceeded:
    """A value that a volume of a hold exceeds, and where."""

    value: float
    place: Floats
    """(3,) middle of where most of that volume lies together, mm."""
    spread: float
    """Root of the mean square distance from there of what lies within `NEAR` of it, mm."""
    gathered: float
    """How much of the volume lies within `NEAR` of the place, from 0 to 1."""
    hottest: Indices
    """(k,) numbers of the samples that make it up, the hottest first."""


def exceeded(values: Floats, volumes: Floats, places: Floats, volume: float = VOLUME) -> Exceeded:
    """Find the value that so much of a hold exceeds.

    Parameters
    ----------
    values
        (n,) such as stress or an index.
    volumes
        (n,) what each stands for, mm3; zero for what shall not count.
    places
        (n, 3) mm.
    volume
        mm3; of a hold with less, the least value is given.

    Notes
    -----
    The value is interpolated between the two samples whose summed volumes, counted to their middles,
    enclose it.
    """
    order = np.argsort(-values, kind="stable")
    order = order[volumes[order] > 0.0]
    summed = np.cumsum(volumes[order])
    count = int(np.searchsorted(summed, volume, side="left")) + 1
    hottest = order[:count]
    value = float(np.interp(volume, summed - volumes[order] / 2.0, values[order]))
    weights, where = volumes[hottest], places[hottest]
    tree = KDTree(where)
    around = np.array([weights[near].sum() for near in tree.query_ball_point(where, NEAR / 2.0)])
    near = np.linalg.norm(where - where[around.argmax()], axis=1) <= NEAR
    share = weights[near] / weights[near].sum()
    place = share @ where[near]
    away = ((where[near] - place) ** 2).sum(axis=1)
    return Exceeded(
        value, place, float(np.sqrt(share @ away)), float(weights[near].sum() / weights.sum()), hottest
    )


def von_mises(stress: Floats) -> Floats:
    """Give the equivalent stress (n, ...) of stresses (n, 6, ...): xx, yy, zz, yz, zx, xy."""
    x, y, z, yz, zx, xy = np.moveaxis(stress, 1, 0)
    shear = yz * yz + zx * zx + xy * xy
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2.0 + 3.0 * shear))
