"""How much material is left between two bores, whichever way they lean."""

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_walls import Least

LEVEL = 1.0
"""Distance between the levels that two bores are compared on, mm."""


def between(one: BoreShape, other: BoreShape, top: float) -> Least:
    """Measure the least wall between two bores on levels from the finished back up to `top`, mm.

    Level sections of a tilted bore are taken for as wide as it is across: at 15 degrees they are 3.5 % longer
    in one direction. Its countersink counts as pocket.

    Returns
    -------
    Least
        Negative where they meet; the place lies in the middle between them.
    """
    levels = np.append(np.arange(0.0, top, LEVEL), top)
    centres = [_centres(shape, levels) for shape in (one, other)]
    wide = sum(np.where(levels < shape.seat * shape.axis[2], *_radii(shape)) for shape in (one, other))
    gap = centres[1] - centres[0]
    wall = _apart(gap, one.half_slot[:2], other.half_slot[:2]) - wide
    least = int(np.argmin(wall))
    middle = (centres[0][least] + centres[1][least]) / 2
    return Least(float(wall[least]), np.array([*middle, levels[least]]))


def _centres(shape: BoreShape, levels: Floats) -> Floats:
    """Where the axis is (n, 2) on levels (n,)."""
    lean = np.array(shape.axis[:2]) / shape.axis[2]
    return np.asarray(np.array([shape.x, shape.y]) + levels[:, None] * lean)


def _radii(shape: BoreShape) -> tuple[float, float]:
    return shape.clearance_diameter / 2, shape.pocket_diameter / 2


def _apart(gap: Floats, half: Floats, other: Floats) -> Floats:
    """Distance (n,) of two segments with their middles `gap` (n, 2) apart and half lengths (2,) each."""
    ends = [_to_segment(gap + side * other, half) for side in (-1.0, 1.0)]
    ends += [_to_segment(-gap + side * half, other) for side in (-1.0, 1.0)]
    turn = half[0] * other[1] - half[1] * other[0]
    if abs(turn) < 1e-12:
        return np.asarray(np.min(ends, axis=0))
    # Where both shares are within their segments, they cross.
    first = (gap[:, 0] * other[1] - gap[:, 1] * other[0]) / turn
    second = (gap[:, 0] * half[1] - gap[:, 1] * half[0]) / turn
    crossed = (np.abs(first) <= 1.0) & (np.abs(second) <= 1.0)
    return np.asarray(np.where(crossed, 0.0, np.min(ends, axis=0)))


def _to_segment(places: Floats, half: Floats) -> Floats:
    square = float(half @ half)
    share = np.clip(places @ half / square, -1.0, 1.0) if square > 0.0 else np.zeros(len(places))
    return np.asarray(np.linalg.norm(places - share[:, None] * half, axis=1))
