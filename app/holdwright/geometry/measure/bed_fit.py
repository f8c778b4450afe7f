"""At which turn a silhouette fits a rectangle."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from holdwright.geometry.arrays import Floats


@dataclass(frozen=True)
class BedFit:
    """A silhouette as it lies best."""

    turn: float
    """How far it is turned, degrees anticlockwise, 0 to 180; 0 where it fits as it is."""
    width: float
    depth: float
    """width, depth: its extent along x and y, so turned."""
    spare: float
    """Least of what the rectangle has over on either axis; negative where it does not fit."""


def turn_to_fit(points: Floats, bed: tuple[float, float]) -> BedFit:
    """Find the turn that leaves most to spare on the tighter axis.

    Parameters
    ----------
    points
        (n, 2) whose hull is the silhouette, mm.
    bed
        Width and depth of the rectangle, mm.

    Notes
    -----
    Between turns at which an edge of the hull lies along an axis, each extent is one vector's length times a
    cosine: concave, so that the best turn is one of those, or one at which both axes have as much to spare.
    """
    hull = _hull(points)
    upright = _fit(hull, bed, np.zeros(1))
    if upright.spare >= 0.0:
        return upright
    way = np.roll(hull, -1, axis=0) - hull
    edges = -np.arctan2(way[:, 1], way[:, 0])
    turns = np.unique(np.concatenate([edges, edges + np.pi / 2.0]) % np.pi)
    turns = np.concatenate([turns, _as_much_to_spare(hull, bed, turns), [0.0]])
    return _fit(hull, bed, turns)


def _hull(points: Floats) -> Floats:
    try:
        return np.asarray(points[ConvexHull(points).vertices])
    except QhullError:  # on one line, or fewer than three
        return points


def _extents(hull: Floats, turns: Floats) -> tuple[Floats, Floats]:
    """Give the extents (k,) along x and y of a hull at turns (k,), radians."""
    x, y = hull.T
    along = np.outer(np.cos(turns), x) - np.outer(np.sin(turns), y)
    up = np.outer(np.sin(turns), x) + np.outer(np.cos(turns), y)
    return np.ptp(along, axis=1), np.ptp(up, axis=1)


def _fit(hull: Floats, bed: tuple[float, float], turns: Floats) -> BedFit:
    width, depth = _extents(hull, turns)
    spare = np.minimum(bed[0] - width, bed[1] - depth)
    best = int(np.argmax(spare))
    turn = float(np.degrees(turns[best])) % 180.0
    return BedFit(turn, float(width[best]), float(depth[best]), float(spare[best]))


def _as_much_to_spare(hull: Floats, bed: tuple[float, float], turns: Floats) -> Floats:
    """Give the turns between neighbours of `turns` at which both axes have as much to spare."""
    low, high = turns, np.append(turns[1:], turns[0] + np.pi)
    middle, (x, y) = (low + high) / 2.0, hull.T
    cosine, sine = np.cos(middle)[:, None], np.sin(middle)[:, None]
    along, up = cosine * x - sine * y, sine * x + cosine * y
    across = hull[along.argmax(axis=1)] - hull[along.argmin(axis=1)]
    above = hull[up.argmax(axis=1)] - hull[up.argmin(axis=1)]
    # width - depth = a cos t + b sin t, which is to be bed[0] - bed[1].
    a, b = across[:, 0] - above[:, 1], -across[:, 1] - above[:, 0]
    length, wanted = np.hypot(a, b), bed[0] - bed[1]
    some = length > np.maximum(abs(wanted), 1e-12)
    base = np.arctan2(b, a)[some]
    swing = np.arccos(np.clip(wanted / length[some], -1.0, 1.0))
    found = np.concatenate([base - swing, base + swing])
    low, high = np.tile(low[some], 2), np.tile(high[some], 2)
    found = low + (found - low) % (2.0 * np.pi)
    return np.asarray(found[found <= high])
