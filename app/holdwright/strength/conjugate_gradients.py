"""Conjugate gradients for an elastic body that may touch something."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.progress import SILENT, Progress

Singles = NDArray[np.float32]

TOLERANCE = 1e-6
"""Of what is left of the forces by the forces."""

MOST_STEPS = 400

_MOST_TRIALS = 60


@dataclass(frozen=True, eq=False)
class OneSided:
    """Springs that only press: each where its height over what it may touch is below zero."""

    height: csr_array
    """(k, n) heights by displacements."""
    stiffness: Floats
    """(k,) N/mm."""


NOTHING = OneSided(csr_array((0, 0)), np.empty(0))


@dataclass(frozen=True, eq=False)
class Solved:
    """What conjugate gradients found."""

    moved: Floats
    """(n,) the solution."""
    steps: int
    """Iterations it took."""
    left: float
    """What was left of the forces, relative to them."""


def conjugate_gradients(
    operator: Callable[[Floats], Floats],
    near: Callable[[Singles], Singles],
    forces: Floats,
    start: Floats | None = None,
    one_sided: OneSided = NOTHING,
    tolerance: float = TOLERANCE,
    progress: Progress = SILENT,
) -> Solved:
    """Find where forces are in balance.

    Parameters
    ----------
    operator
        Symmetric and positive: (n,) to (n,).
    near
        An approximate inverse of it, with those springs that will press.
    forces
        (n,).
    start
        (n,) first guess.

    Raises
    ------
    GeometryError
        When it does not converge in `MOST_STEPS`.

    Notes
    -----
    The energy is convex and, where springs touch or let go, its slope has a kink but no jump: so steps go
    along conjugate directions to the least energy on each, exactly (Polak and Ribiere; Nocedal and Wright,
    "Numerical optimization", 2nd ed. 2006, chapter 5). Without one-sided springs it is the usual method for
    linear systems, in the form that bears a preconditioner in single precision (Golub and Ye, "Inexact
    preconditioned conjugate gradient method with inner-outer iteration", SIAM J. Sci. Comput. 21, 1999).
    """
    goal = tolerance * (float(np.linalg.norm(forces)) or 1.0)
    found = _Descent(operator, one_sided, forces, start)
    first, toward, earlier, before = found.remaining, np.zeros_like(forces), found.left, 1.0
    for step in range(MOST_STEPS):
        if found.remaining <= goal:
            return Solved(found.moved, step, tolerance * found.remaining / goal)
        progress.report(math.log(first / found.remaining) / math.log(first / goal), "solving")
        better = near((found.left / found.remaining).astype(np.float32)) * found.remaining
        now = float(found.left @ better)
        toward *= max((now - float(earlier @ better)) / before, 0.0) if step else 0.0
        toward += better
        earlier, before = found.left, now
        found.go(toward)
    raise GeometryError(
        f"The forces in the hold did not settle in {MOST_STEPS} steps (left of them: "
        f"{tolerance * found.remaining / goal:.1g}); try another grid, and look for parts on a thread."
    )


class _Descent:
    """Displacements on their way to balance, and what is left of the forces there."""

    def __init__(
        self,
        operator: Callable[[Floats], Floats],
        one_sided: OneSided,
        forces: Floats,
        start: Floats | None,
    ) -> None:
        self._operator, self._springs = operator, one_sided
        self._some = len(one_sided.stiffness) > 0
        self.moved = np.zeros_like(forces) if start is None else start.copy()
        self._pull = forces.copy() if start is None else forces - operator(self.moved)
        self._height = one_sided.height @ self.moved if self._some else one_sided.stiffness
        self._look()

    def go(self, toward: Floats) -> None:
        """Go along a direction to where the energy is least."""
        pushed = self._operator(toward)
        rise = self._springs.height @ toward if self._some else self._height
        slope, work = float(self._pull @ toward), float(toward @ pushed)
        length = _length(self._springs, self._height, rise, slope, work)
        self.moved += length * toward
        self._pull -= length * pushed
        self._height = self._height + length * rise
        self._look()

    def _look(self) -> None:
        self.left = self._pull.copy()
        if self._some:
            self.left -= _pushed(self._springs, self._height)
        self.remaining = float(np.linalg.norm(self.left))


def _pushed(one_sided: OneSided, height: Floats) -> Floats:
    """Give the forces (n,) that hold springs at heights (k,)."""
    return np.asarray(one_sided.height.T @ (one_sided.stiffness * np.minimum(height, 0.0)))


def _length(one_sided: OneSided, height: Floats, rise: Floats, slope: float, work: float) -> float:
    """How far along a direction the energy is least.

    Its slope there is -`slope` + length * `work` plus what the springs add at `height` + length * `rise`: it
    grows with the length and is straight between kinks, so that Newton's method ends in a few trials.
    """
    length, low, high = slope / work, -math.inf, math.inf
    if not len(rise):
        return length
    length = 0.0
    for _ in range(_MOST_TRIALS):
        at = height + length * rise
        push = one_sided.stiffness * rise * (at < 0.0)
        uphill = float(push @ at) + length * work - slope
        if uphill > 0.0:
            high = length
        else:
            low = length
        after = length - uphill / (work + float(push @ rise))
        if not low < after < high:
            after = (low + high) / 2.0
        if abs(after - length) <= 1e-10 * abs(after):
            break
        length = after
    return length
