"""The corners of a part's outline on the bed, by their radius."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import Outlines, outer

REACH = 10.0
"""A corner is what an outline turns within this length on either side, mm: our choice."""

LEAST_TURN = 40.0
"""An outline that turns less there has no corner, degrees: our choice."""

WIDEST = 15.0
"""A corner is rounder than that no more, mm: our choice."""

_SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Corner:
    """A place where an outline turns to the left, round material."""

    place: Floats
    """(2,) mm, on the outline."""
    outward: Floats
    """(2,) unit vector away from the material."""
    turn: float
    """Degrees; 90 at the corner of a square."""
    radius: float
    """Of the arc it is rounded with, mm; 0 where it is sharp."""


def outline_corners(outlines: Outlines, widest: float = WIDEST) -> list[Corner]:
    """Find the corners of outlines round material, the one that turns most first.

    Parameters
    ----------
    outlines
        Closed outlines (n, 2), mm, material to their left; those round holes are left out.
    widest
        Corners of a larger radius are none, mm.

    Notes
    -----
    What an outline turns is summed over its points, so that roughness, which turns back, cancels. The middle
    half of the turn of a rounded corner lies on its arc, whose length over its turn is the radius.
    """
    found = [corner for outline in outer(outlines) for corner in _corners(outline) if corner.radius <= widest]
    return sorted(found, key=lambda corner: (-round(corner.turn, 3), *corner.place))


def _corners(outline: Floats) -> list[Corner]:
    way = np.roll(outline, -1, axis=0) - outline
    length = np.hypot(way[:, 0], way[:, 1])
    outline, way, length = (each[length > _SAME] for each in (outline, way, length))
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = (heading - np.roll(heading, 1) + np.pi) % (2.0 * np.pi) - np.pi
    around = float(length.sum())
    reach = min(REACH, around / 8.0)
    at = np.cumsum(length) - length
    # Three times round, so that no window ends at the seam.
    places, turns = np.concatenate([at - around, at, at + around]), np.tile(turn, 3)
    first, last = (np.searchsorted(places, at + side * (reach + _SAME)) for side in (-1.0, 1.0))
    total = np.concatenate([[0.0], np.cumsum(turns)])
    within = total[last] - total[first]
    found: list[Corner] = []
    taken = np.zeros(0)
    for n in np.argsort(-np.round(within, 9), kind="stable").tolist():
        if within[n] < np.radians(LEAST_TURN):
            break
        # A rounded corner lies within the windows of many points: its middle is the same in all.
        part = slice(first[n], last[n])
        middle = float(np.clip(places[part] @ turns[part] / within[n], at[n] - reach, at[n] + reach))
        if np.abs((taken - middle + around / 2.0) % around - around / 2.0).min(initial=around) > 2.0 * reach:
            taken = np.append(taken, middle)
            low, high = np.searchsorted(places, [middle - reach - _SAME, middle + reach + _SAME])
            edge = int(np.searchsorted(at, middle % around + _SAME)) - 1
            place = outline[edge] + (middle % around - at[edge]) / length[edge] * way[edge]
            found.append(_corner(place, heading[low % len(at) - 1], places[low:high], turns[low:high]))
    return found


def _corner(place: Floats, heading: float, places: Floats, turns: Floats) -> Corner:
    """Measure a corner from the turns (n,) at places along its outline, which comes in on a heading."""
    summed = np.cumsum(turns)
    start, end = (int(np.argmax(summed >= share * summed[-1] - _SAME)) for share in (0.25, 0.75))
    # A turn at a point of an arc is half before and half after it.
    arc = float(summed[end] - summed[start] + (turns[start] - turns[end]) / 2.0)
    radius = float(places[end] - places[start]) / arc if end > start and arc > 0.0 else 0.0
    along = heading + float(summed[-1]) / 2.0
    outward = np.array([np.sin(along), -np.cos(along)])
    return Corner(place, outward, float(np.degrees(summed[-1])), radius)
