"""Ink lines where a draughtsman would draw them: round silhouettes and parts, lightly along sharp edges."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation

from holdwright.geometry.arrays import Floats

Mask = NDArray[np.bool_]

_PEN = np.array([[0, 0, 0], [0, 1, 1], [0, 1, 0]], dtype=np.bool_)
"""Widens a line by one pixel toward the lower right, to a round pen's width."""


def ink(depth: Floats, part: NDArray[np.uint8], normal: Floats, jump: float) -> Floats:
    """Find where ink belongs.

    Parameters
    ----------
    depth
        (height, width) distance from the camera, mm.
    part
        (height, width) which part is seen; 0 for none.
    normal
        (height, width, 3) unit normals; anything where no part is seen.
    jump
        Step in depth (mm) taken for a silhouette of one stretch of the surface before another.

    Returns
    -------
    (height, width) float64, 0 to 1: how much ink.
    """
    outline = np.zeros(depth.shape, dtype=bool)
    fold = np.zeros(depth.shape, dtype=bool)
    crease = np.zeros(depth.shape, dtype=bool)
    for step in ((0, 1), (1, 0)):
        here, there = _neighbours(step)
        other = part[here] != part[there]
        outline[here] |= other
        broken = ~other & (part[here] > 0) & _jumps(depth, step, jump)
        fold[here] |= broken
        bend = np.einsum("ijk,ijk->ij", normal[here], normal[there]) < 0.72
        crease[here] |= bend & ~other & (part[here] > 0)
    crease = binary_dilation(crease & ~binary_dilation(outline), _PEN)
    strength = np.maximum(0.55 * crease, 0.85 * binary_dilation(fold, _PEN))
    return np.asarray(np.maximum(strength, binary_dilation(outline, _PEN, iterations=2)))


def _neighbours(step: tuple[int, int]) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    down, right = step
    here = (slice(0, -1 if down else None), slice(0, -1 if right else None))
    there = (slice(down, None), slice(right, None))
    return here, there


def _jumps(depth: Floats, step: tuple[int, int], jump: float) -> Mask:
    """Where depth leaps between neighbours by more than its own slope explains."""
    down = step[0]
    difference = np.diff(depth, axis=0 if down else 1)
    before, after = difference.copy(), difference.copy()
    if down:
        before[1:], after[:-1] = difference[:-1], difference[1:]
    else:
        before[:, 1:], after[:, :-1] = difference[:, :-1], difference[:, 1:]
    expected = np.where(np.abs(before) < np.abs(after), before, after)
    leap: Mask = np.abs(difference - expected) > jump
    return leap
