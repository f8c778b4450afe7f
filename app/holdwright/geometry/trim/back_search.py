"""Where the back of a hold is best put, weighing what the cut loses against what it wins.

The hold is looked at on a lattice, so that for every height the bodies in front of it, the shadow they throw
on the wall and the outlines they touch it with are counted rather than cut.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import ndimage

from holdwright.geometry.arrays import Mask
from holdwright.geometry.measure.occupancy import Lattice, crossings, mark
from holdwright.geometry.mesh.solid import Solid

MOST_LOST: Final = 0.2
"""Share of the volume that a back is not to cost where another will do (our choice)."""

CANDIDATES: Final = 3

_FINENESS = 64.0
_REACH = 0.6
_HEIGHTS = 30
_APART = 0.08
_RELUCTANCE = 0.25
MOST_FOR_RIM: Final = 0.75
"""Share of the depth that a rim may take."""

LEAST_KEPT: Final = 0.9
"""Share of what is in front of the back that is to hang together in front of the rim (our choice)."""

_DEPTH, _COVER, _OUTLINES = 0.75, 0.75, 0.15
"""What shares of depth and cover, and further outlines, weigh beside a share of the volume (our choice: a
ball is cut where an eighth of it is lost)."""


@dataclass(frozen=True)
class BackCandidate:
    """A height for the finished back, and what it costs and wins."""

    z: float
    """mm."""
    lost: float = 0.0
    """Share of the volume that the cut loses: behind the back, and bodies that fall off in front of it."""
    cover: float = 0.0
    """Area within the outlines on the wall, as a share of the shadow of what is in front of it."""
    outlines: float = 0.0
    """How many outlines touch the wall, each counted by its share of the area."""
    joined: bool = False
    """Whether bodies in front of it hang together by what the rim takes up, so that this is to stay."""

    def worth(self, top: float) -> float:
        """Give the logarithm of its worth for a hold that reaches up to `top`; the higher the better."""
        kept, depth = max(1.0 - self.lost, 1e-9), max(top - self.z, 1e-9)
        won = _COVER * np.log(max(self.cover, 1e-9)) - _OUTLINES * np.log(max(self.outlines, 1.0))
        return float(np.log(kept) + _DEPTH * np.log(depth) + won)


def back_candidates(solid: Solid, floor: float, rim: float, least: float) -> list[BackCandidate]:
    """Give up to three heights for the finished back, the best first, the others well apart from it.

    Parameters
    ----------
    solid
        Back toward -z, mm.
    floor
        Lowest height to look at, mm; what is behind it does not count as lost.
    rim
        The outline this far in front of the back is the one that touches the wall, mm.
    least
        Outlines of less than this many mm2 do not touch it.

    Notes
    -----
    Heights are those of a lattice of about a 64th of the extent, the floor among them. One that loses more
    than 20 % of the volume comes first only where all others are much worse.
    """
    low, high = solid.bounds
    spacing = float(max(*solid.size[:2], (high[2] - floor) / 2.0)) / _FINENESS
    shape = np.ceil((high - [*low[:2], floor]) / spacing).astype(int) + 1
    lattice = Lattice(
        np.array([*low[:2], floor]) + spacing / 2.0, spacing, (int(shape[0]), int(shape[1]), int(shape[2]))
    )
    inside = mark(lattice, crossings(lattice, solid.mesh))
    if not inside.any():
        return [BackCandidate(floor)]
    layers = int(np.flatnonzero(inside.any(axis=(0, 1)))[-1]) + 1
    up = min(int(rim / spacing), int(MOST_FOR_RIM * layers))
    levels = range(0, max(int(_REACH * layers), 1), max(1, int(_REACH * layers / _HEIGHTS)))
    found = [
        BackCandidate(floor + level * spacing, *_weighed(inside, level, up, least / spacing**2))
        for level in levels
        if level + up < layers
    ]
    return _best(found, float(high[2]), _APART * (float(high[2]) - floor))


def _weighed(inside: Mask, level: int, up: int, least: float) -> tuple[float, float, float, bool]:
    """Give what a back below a layer loses, its cover, its outlines, and whether the rim joins bodies."""
    own, body = _largest(inside[:, :, level:]), _largest(inside[:, :, level + up :])
    below = int(np.count_nonzero(inside[:, :, level : level + up]))
    kept = int(np.count_nonzero(body)) + min(int(np.count_nonzero(body[:, :, 0])) * up, below)
    joined = kept < LEAST_KEPT * int(np.count_nonzero(own))
    if joined:
        body, kept = own, int(np.count_nonzero(own))
    shadow = np.count_nonzero(ndimage.binary_fill_holes(np.asarray(body.any(axis=2))))
    islands, _ = ndimage.label(ndimage.binary_fill_holes(body[:, :, 0]))
    areas = np.bincount(islands.reshape(-1))[1:].astype(np.float64)
    areas = areas[areas >= least]
    lost = 1.0 - kept / int(np.count_nonzero(inside))
    if not len(areas):
        return lost, 0.0, 0.0, joined
    return lost, float(areas.sum() / shadow), float(areas.sum() ** 2 / (areas**2).sum()), joined


def _largest(inside: Mask) -> Mask:
    """Leave the largest connected body."""
    bodies, count = ndimage.label(inside)
    if count < 2:
        return inside
    return np.asarray(bodies == int(np.argmax(np.bincount(bodies.reshape(-1))[1:])) + 1)


def _best(found: list[BackCandidate], top: float, apart: float) -> list[BackCandidate]:
    """Rank candidates, dropping those near a better one."""
    ranked = sorted(found, key=lambda each: -each.worth(top))
    cheap = [each for each in ranked if each.lost <= MOST_LOST]
    if cheap and cheap[0].worth(top) >= ranked[0].worth(top) - _RELUCTANCE:
        ranked = [cheap[0], *(each for each in ranked if each is not cheap[0])]
    chosen: list[BackCandidate] = []
    for each in ranked:
        if len(chosen) < CANDIDATES and all(abs(each.z - other.z) >= apart for other in chosen):
            chosen.append(each)
    return chosen
