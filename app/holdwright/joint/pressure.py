"""How a hold presses on its wall: linearly, with its resultant through the bolt, and never pulling."""

from dataclasses import dataclass

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.joint.outline import Outlines, clipped, distance_moments, moments

_MOST_STEPS = 60
_CLOSE = 1e-11


@dataclass(frozen=True, eq=False)
class Pressure:
    """The pressure on the wall for a clamp of 1 N, origin at the bolt."""

    plane: Floats
    """(a, b, c): pressure a + b x + c y in 1 / mm2 where that is positive, none elsewhere."""
    pressed: list[Floats]
    """Outlines of the part that presses."""
    share: float
    """Share of the contact's area that presses."""
    friction_radius: float
    """Mean distance from the bolt, weighted by pressure, mm: friction torque is mu F times this."""


def even_friction_radius(outlines: Outlines) -> float:
    """Friction radius in mm about the origin for pressure that is the same everywhere.

    True for a bolt in the middle alone: an even pressure's resultant goes through the centroid.
    """
    return distance_moments(outlines)[0] / moments(outlines).area


def settle(outlines: Outlines) -> Pressure:
    """Find the linear pressure that balances a bolt at the origin.

    Notes
    -----
    A stiff hold on an even foundation that cannot pull presses with p = max(0, a + b x + c y). Its force must
    be the clamp's and its moments about the bolt zero: the stationary point of a convex function of (a, b,
    c), so that Newton's method with halved steps always arrives. Where the bolt lies within the middle part
    (the kern) all of the contact presses and the first step is exact.

    Raises
    ------
    GeometryError
        When the contact does not surround the bolt: no pressure balances it, and the hold rocks.
    """
    reach = max(float(np.abs(outline).max()) for outline in outlines)
    scaled = [outline / reach for outline in outlines]
    whole = moments(scaled)
    target = np.array([1.0, 0.0, 0.0])
    plane = np.linalg.solve(whole.matrix, target)
    pressed, value, matrix = _pressed(scaled, plane)
    for _ in range(_MOST_STEPS):
        slope = matrix @ plane - target
        if np.abs(slope).max() < _CLOSE * max(1.0, np.abs(plane).max()):  # a steep plane rounds coarser
            break
        try:
            step = np.linalg.solve(matrix, target) - plane
        except np.linalg.LinAlgError:
            raise _rocks() from None
        length = 1.0
        while length > 1e-9:
            pressed, value_at_step, matrix = _pressed(scaled, plane + length * step)
            if value_at_step <= value + 1e-4 * length * float(slope @ step) + 1e-15:
                break
            length /= 2.0
        plane, value = plane + length * step, value_at_step
        if not np.isfinite(plane).all() or np.abs(plane).max() > 1e9:
            raise _rocks()
    else:
        raise _rocks()
    round_bolt, drawn = distance_moments(pressed)
    radius = reach * float(plane[0] * round_bolt + plane[1:] @ drawn)
    share = moments(pressed).area / whole.area
    real = plane / reach**2
    real[1:] /= reach
    return Pressure(real, [outline * reach for outline in pressed], share, radius)


def _pressed(outlines: Outlines, plane: Floats) -> tuple[list[Floats], float, Floats]:
    """Give the part where a plane is positive, the convex function there, and its second derivative."""
    part = clipped(outlines, plane)
    matrix = moments(part).matrix
    return part, float(plane @ matrix @ plane) / 2.0 - float(plane[0]), matrix


def _rocks() -> GeometryError:
    return GeometryError(
        "The hold's contact with the wall does not surround its bolt, so that it would rock however "
        "hard it is tightened; move the bore toward the middle of the back."
    )
