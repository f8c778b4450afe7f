"""The collar round a screw hole: a solid cylinder, since a screw's head pulls through sparse infill."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.core.core_fit import circles
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.clearance import Clearance, ClearanceQuery
from holdwright.geometry.measure.columns import Grid, columns
from holdwright.geometry.mesh.boolean import connected, cut_by_plane, union
from holdwright.geometry.mesh.frustum import Frustum

HEADS = 1.5
"""Diameter of a collar in those of the head. Common practice, no source, as for a core and its pocket."""

HIGHEST = 3.0
"""A collar goes on to the surface, yet no farther above its countersink's start than so many radii."""

_STEP = 0.5
_BEYOND = 0.5
_LEVELS = 12


@dataclass(frozen=True)
class CollarFit:
    """A collar chosen."""

    frustum: Frustum
    """Its outline, a cylinder."""
    to_rim: Clearance
    """Where the outline of the hold comes nearest to it, as far as the straight rim goes up."""


def fit_collar(hole: Hole, radius: float, surface: HoldSurface, reach: float) -> CollarFit:
    """Put a cylinder round a screw hole, from below the back out through the surface round its head.

    It goes right through rather than ending just under the head's surface, where only a film of shell would
    be left above it; but within a hold that rises steeply beside the head it ends inside.

    Parameters
    ----------
    hole
        The screw hole; its pocket is the countersink.
    reach
        What is farther away than this is nowhere, mm.
    """
    top = _top(hole, radius, surface)
    upright = hole.axis[2]
    lean = float(np.sqrt(max(1.0 - upright * upright, 0.0)))
    lowest = min(float(surface.mesh.vertices[:, 2].min()), 0.0)
    bottom = (lowest - 1.0 - 2.0 * lean * radius) / upright
    frustum = Frustum(hole.foot, hole.axis, radius, radius, top, bottom)
    low, high = frustum.bounds
    near = surface.near(low - reach, high + reach)
    rim, _ = near.grip()
    return CollarFit(frustum, ClearanceQuery(rim).nearest_to(frustum, reach))


def separate(frusta: Sequence[Frustum], floor: float) -> int:
    """Count the pieces that frusta make above the level z = `floor`, fused where they overlap."""
    fused = union([frustum.solid for frustum in frusta], "the core's outline")
    return len(connected(cut_by_plane(fused, np.array([0.0, 0.0, 1.0]), floor, "the core's outline")))


def gap_to_hole(frustum: Frustum, hole: Hole) -> float:
    """Least distance from a frustum to a hole's wall below its seat, mm; negative where it goes into it."""
    return _gap(frustum, hole, hole.hole_radius, 0.0, hole.seat)


def gap_to_collar(frustum: Frustum, collar: Frustum) -> float:
    """Least distance from a frustum to a collar's wall, mm; negative where both are one."""
    return _gap(frustum, collar, collar.top_radius, 0.0, collar.top)


def _gap(frustum: Frustum, column: Hole | Frustum, radius: float, start: float, stop: float) -> float:
    heights = np.linspace(start, stop, _LEVELS)
    return float(frustum.distance(circles(column, np.full(_LEVELS, radius), heights)).min())


def _top(hole: Hole, radius: float, surface: HoldSurface) -> float:
    """Give the height along the axis just out of the surface over a collar, below any overhang."""
    around = np.array([radius, radius]) + _STEP
    cells = columns(
        surface.mesh.moved(hole.frame).near(-around, around), Grid.around(0.0, 0.0, radius, _STEP)
    )
    away = np.hypot(*cells.grid.places).reshape(-1)[cells.cell]
    ring = (away <= radius + _STEP) & (away > hole.pocket_radius)
    # A pocket's radius above its start any countersink has reached its full width.
    head = hole.seat + hole.pocket_radius
    reached, above = cells.high[ring & (cells.low < head)], cells.low[ring & (cells.low > head)]
    top = min(float(reached.max(initial=head)) + _BEYOND, hole.seat + HIGHEST * radius)
    return max(min(top, float(above.min(initial=np.inf)) - _BEYOND), head)
