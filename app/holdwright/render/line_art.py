"""Ink lines where a draughtsman would draw them: round silhouettes and parts, lightly along sharp edges."""

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats

Mask = NDArray[np.bool_]

_STEPS = ((0, 1), (1, 0))


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
    for step in _STEPS:
        here, there = _neighbours(step)
        other = part[here] != part[there]
        outline[here] |= other
        broken = ~other & (part[here] > 0) & _jumps(depth, step, jump)
        fold[here] |= broken
        bend = np.einsum("ijk,ijk->ij", normal[here], normal[there]) < 0.72
        crease[here] |= bend & ~other & (part[here] > 0)
    strength = 0.55 * _grown(crease & ~_grown_mask(outline)).astype(np.float64)
    strength = np.maximum(strength, 0.85 * _grown(fold))
    return np.maximum(strength, _grown(_grown(outline)))


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


def _grown_mask(mask: Mask) -> Mask:
    """Widen by one pixel on each side."""
    wide = mask.copy()
    wide[1:] |= mask[:-1]
    wide[:-1] |= mask[1:]
    wide[:, 1:] |= mask[:, :-1]
    wide[:, :-1] |= mask[:, 1:]
    return wide


def _grown(mask: Mask | Floats) -> Floats:
    """Widen a line by one pixel toward the lower right, to a round pen's width."""
    line = np.asarray(mask, dtype=np.float64)
    wide = line.copy()
    wide[1:] = np.maximum(wide[1:], line[:-1])
    wide[:, 1:] = np.maximum(wide[:, 1:], line[:, :-1])
    return wide
