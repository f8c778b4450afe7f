"""Where on its back a hold has room for further wood screws."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import distance_transform_edt, minimum_filter

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.columns import Grid, columns
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, ScrewHole

NEAR = 20.0
"""Least distance of a wood screw from the middle of the bolts, mm: common practice, no source."""
CLEAR = 8.0
"""Wall that a wood screw leaves beside the pocket of a bolt, mm: common practice, no source."""
EDGE = 10.0
"""Least distance of a wood screw from the edge of the back, mm: common practice, no source."""
PITCH = 25.0
"""Least distance between wood screws, mm: five diameters of the usual one, as between nails along the grain
(EN 1995-1-1, table 8.2, from memory)."""
MOST = 6
"""Sites that are looked for: a hold that needs more is too small for its reach."""
NEARLY = 0.9
"""Of sites with so much of the greatest distance, that which is farthest from those chosen is taken next."""
LOW = 10.0
"""Where a hold is lower there is no room for a head with enough under it, mm: common practice, no source."""
HOLLOW = 3.0
"""A back may lie so far off the wall where it is relieved, mm: our own measure."""

_STEP = 2.0
_HEAD = 8.0


@dataclass(frozen=True)
class ScrewSite:
    """A place for a wood screw square to the wall, on the back, mm."""

    x: float
    y: float
    height: float
    """Of the lowest surface over its head."""


def screw_sites(solid: Solid, bores: Sequence[Bore], screws: Sequence[ScrewHole]) -> tuple[ScrewSite, ...]:
    """Look for the sites farthest from the middle of the bolts, by columns `_STEP` apart.

    Parameters
    ----------
    solid
        The finished hold, back on z = 0, mm.
    screws
        Holes that it has already.
    """
    low, high = solid.mesh.bounds[:, :2]
    # A margin of air all round, since the distance to it is the distance to the edge.
    grid = Grid.over(low - _STEP, high + _STEP, _STEP)
    tops = _tops(solid, grid)
    heights = minimum_filter(tops, size=2 * round(_HEAD / _STEP) - 1)
    # The edge lies up to a step before the first point in the air.
    free = distance_transform_edt(tops > 0.0) * _STEP >= EDGE + _STEP
    places = np.stack(grid.places, axis=-1)[free]
    heights = heights[free]
    middle = np.mean([(bore.x, bore.y) for bore in bores], axis=0)
    clear = (heights >= LOW) & (np.hypot(*(places - middle).T) >= NEAR)
    for bore in bores:
        clear &= np.hypot(*(places - (bore.x, bore.y)).T) >= bore.pocket_diameter / 2.0 + CLEAR
    return tuple(
        ScrewSite(float(place[0]), float(place[1]), float(height))
        for place, height in _chosen(places[clear], heights[clear], middle, screws)
    )


def _tops(solid: Solid, grid: Grid) -> Floats:
    """Height of the material on the wall at each point; 0 where none reaches down to it."""
    low, high = columns(solid.mesh, grid).first
    return np.where(low <= HOLLOW, high, 0.0)


def _chosen(
    places: Floats, heights: Floats, middle: Floats, screws: Sequence[ScrewHole]
) -> list[tuple[Floats, float]]:
    """Choose sites a pitch apart; the first is the highest on the wall of those about equally far."""
    chosen: list[tuple[Floats, float]] = []
    taken = [np.array([each.x, each.y]) for each in screws]
    while len(places) and len(chosen) < MOST:
        apart = np.min([np.hypot(*(places - each).T) for each in taken], axis=0) if taken else places[:, 1]
        free = apart >= PITCH if taken else np.full(len(places), fill_value=True)
        if not free.any():
            break
        places, heights, apart = places[free], heights[free], apart[free]
        lever = np.hypot(*(places - middle).T)
        far = np.flatnonzero(lever >= NEARLY * lever.max())
        # What is about equally far apart goes by its lever.
        best = far[np.lexsort((lever[far], np.round(apart[far] / EDGE)))[-1]]
        chosen.append((places[best], float(heights[best])))
        taken.append(places[best])
    return chosen
