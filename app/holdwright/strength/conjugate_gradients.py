"""Conjugate gradients for several cases of load at once."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.progress import SILENT, Progress

Singles = NDArray[np.float32]

TOLERANCE = 1e-6
"""Of what is left of the forces by the forces."""

MOST_STEPS = 400


@dataclass(frozen=True, eq=False)
class Solved:
    """What conjugate gradients found."""

    moved: Floats
    """(n, c) solutions."""
    steps: int
    """Iterations it took."""
    left: Floats
    """(c,) what was left of each right side, relative to it."""


def conjugate_gradients(
    operator: Callable[[Floats], Floats],
    near: Callable[[Singles], Singles],
    forces: Floats,
    start: Floats | None = None,
    tolerance: float = TOLERANCE,
    progress: Progress = SILENT,
) -> Solved:
    """Solve for several right sides.

    Parameters
    ----------
    operator
        Symmetric and positive: (n, c) to (n, c); may differ from column to column.
    near
        Its approximate inverse.
    forces
        (n, c) right sides.
    start
        (n, c) first guess.

    Raises
    ------
    GeometryError
        When it does not converge in `MOST_STEPS`.

    Notes
    -----
    Preconditioned in single precision, therefore with the formula of Polak and Ribiere, which bears that the
    preconditioner is a little different from step to step (Golub and Ye, "Inexact preconditioned conjugate
    gradient method with inner-outer iteration", SIAM J. Sci. Comput. 21, 1999).
    """
    sizes = np.linalg.norm(forces, axis=0)
    sizes[sizes == 0.0] = 1.0
    moved = np.zeros_like(forces) if start is None else start.copy()
    left = forces - operator(moved) if start is not None and start.any() else forces.copy()
    toward = np.zeros_like(forces)
    before = np.ones(forces.shape[1])
    earlier = left
    first = worst = max(float((np.linalg.norm(left, axis=0) / sizes).max()), 2.0 * tolerance)
    for step in range(MOST_STEPS):
        remaining = np.linalg.norm(left, axis=0)
        worst = float((remaining / sizes).max())
        if worst <= tolerance:
            return Solved(moved, step, remaining / sizes)
        progress.report(math.log(first / worst) / math.log(first / tolerance), "solving")
        scale = np.where(remaining > 0.0, remaining, 1.0)
        better = near((left / scale).astype(np.float32)).astype(np.float64) * scale
        now = _dots(left, better)
        turn = (now - _dots(earlier, better)) / before if step else np.zeros_like(now)
        toward = better + turn * toward
        pushed = operator(toward)
        work = _dots(toward, pushed)
        length = np.divide(_dots(left, toward), work, out=np.zeros_like(work), where=work > 0.0)
        moved += length * toward
        earlier = left
        left = left - length * pushed
        before = np.where(now > 0.0, now, 1.0)
    raise _unsettled(worst)


def _dots(one: Floats, other: Floats) -> Floats:
    """Products (c,) of columns."""
    return np.asarray(np.einsum("nc,nc->c", one, other))


def _unsettled(worst: float) -> GeometryError:
    return GeometryError(
        f"The forces in the hold did not settle in {MOST_STEPS} steps ({worst:.1g} of them is left); try "
        "another grid, and look for parts that hang by a thread."
    )
