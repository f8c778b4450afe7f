"""How near a screw hole comes to the outside of a hold, to its bores and to other screw holes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.hole.bore_walls import BACK, SPACING, Least, apart
from holdwright.geometry.hole.screw_hole import ScrewShape
from holdwright.geometry.measure.grip_surface import Column
from holdwright.geometry.measure.sections import level_edges, stepped_near
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid

_ON_HOLE = 0.05
"""mm within which a point of a section lies on a hole's wall."""


@dataclass(frozen=True, eq=False)
class ScrewWalls:
    """Least walls of a screw hole, square to its axis, mm; negative where it breaks through.

    Attributes
    ----------
    outside
        Between this hole and the outside of the hold, from the back up to where its head's pocket is no
        deeper than the wall wanted: nearer to the edge the wall of any pocket in a slope runs out to nothing.
    holes
        Between this hole, its head's pocket included, and each of the others asked about; infinite where no
        level meets both.
    """

    outside: Least
    holes: tuple[Least, ...]


def screw_walls(
    solid: Solid, shape: ScrewShape, lowest: float, top: float, others: Sequence[Column], wanted: float
) -> ScrewWalls:
    """Measure on level sections square to the axis.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0.
    shape
        The hole, seated.
    lowest
        Lowest surface over the head, as a height along the axis, mm.
    top
        Where its cutter ends, as a height along the axis, mm.
    others
        Holes already there.
    wanted
        What is farther away than this in excess of the least met need not be exact, mm.
    """
    heights = _heights(shape, top)
    reach = shape.head_diameter / 2.0 + wanted + 2.0 * SPACING
    points, level = _outlines(solid, shape, heights, reach)
    places = move_points(shape.from_axis, np.column_stack([points, heights[level]]))
    shank = heights[level] <= shape.seat
    radius = np.where(shank, shape.hole_diameter, shape.head_diameter) / 2.0
    wall = np.hypot(points[:, 0], points[:, 1]) - radius
    free = (places[:, 2] > 2.0 * BACK) & (shank | (heights[level] < lowest - wanted))
    at = shape.on_axis(max(shape.seat / 2.0, 0.0))
    holes = []
    for other in others:
        on_it = other.on_wall(places, _ON_HOLE)
        free &= ~on_it
        holes.append(_least(wall, places, on_it, at))
    return ScrewWalls(_least(wall, places, free, at), tuple(holes))


def _heights(shape: ScrewShape, top: float) -> Floats:
    """Give the heights of the sections: the seat, down from there to the back, and up to the cutter's end."""
    top = max(top, shape.mouth + BACK)
    down = np.arange(shape.seat, 2.0 * BACK, -apart(shape.seat))[::-1]
    up = np.arange(shape.mouth, top, apart(top - shape.mouth))
    return np.unique(np.concatenate([[2.0 * BACK], down, up]))


def _outlines(solid: Solid, shape: ScrewShape, heights: Floats, reach: float) -> tuple[Floats, Indices]:
    """Give points (n, 2) along the sections' outlines near the axis, in the hole's frame, and their level."""
    start, end, level = level_edges(move_points(shape.to_axis, solid.vertices), solid.triangles, heights)
    if len(start) == 0:
        return np.empty((0, 2)), level
    # No point of an edge is nearer to the axis than its start less its length.
    least = np.hypot(start[:, 0], start[:, 1]) - np.hypot(*(end - start).T)
    points, edge = stepped_near(start, end, max(reach, float(least.min()) + reach), SPACING)
    return points, level[edge]


def _least(wall: Floats, places: Floats, chosen: np.ndarray, otherwise: Floats) -> Least:
    if not chosen.any():
        return Least(float("inf"), otherwise)
    nearest = int(np.argmin(np.where(chosen, wall, np.inf)))
    return Least(float(wall[nearest]), places[nearest])
