"""How far a hold's surface is from that of another one laid on it, for the places that are drawn."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.signed_distance import SignedDistance
from holdwright.geometry.mesh.frame import move_points, placement, scale_of
from holdwright.pipeline.views.display_results import Surface
from holdwright.pipeline.views.work_context import WorkContext

LEAST_REACH: Final = 0.1
"""mm at the end of a scale of distances at least: what is less is no change anyone sees."""
WIDER: Final = 1.5
"""Times what 95 % of a surface stays within, where the scale ends: a moved hole is as deep as the hold."""

_BLOCK: Final = 20_000


@dataclass(frozen=True, eq=False)
class DistanceRequest:
    """What is to be measured from what."""

    places: NDArray[np.float32]
    """(n, 3) places on the new hold, mm."""
    old: Surface
    """The old one, closed, in the same frame."""


@dataclass(frozen=True, eq=False)
class DistanceField:
    """Distances of the places, and the one at the end of their scale."""

    values: NDArray[np.float32]
    """(n,) mm, positive where there is more than before."""
    reach: float


def measure_distance(context: WorkContext, request: DistanceRequest) -> DistanceField:
    """Measure every place.

    Raises
    ------
    Cancelled
        When that is requested.
    """
    measure, count = SignedDistance(request.old.mesh), len(request.places)
    values = np.zeros(count, dtype=np.float32)
    for start in range(0, count, _BLOCK):
        context.progress.report(start / count, "measuring what changed")
        values[start : start + _BLOCK] = measure.of(request.places[start : start + _BLOCK].astype(np.float64))
    return DistanceField(values, reach_of(values))


def reach_of(values: NDArray[np.floating]) -> float:
    """Give the distance that a scale ends at, mm."""
    return max(WIDER * float(np.quantile(np.abs(values), 0.95)), LEAST_REACH)


def carried_over(
    placed: tuple[Floats, Floats | None], into: tuple[Floats, Floats | None], middle: Floats
) -> Floats:
    """Give the motion that leads one finished hold onto another one, their sculpts laid on each other.

    Parameters
    ----------
    placed, into
        Of each hold its placement and how its sculpt was laid, as of `Hold`; the latter None where it lies in
        the coordinates that are remembered.
    middle
        (3,) place on the first that is to go where its place on the sculpt is; mm. Both holds are of true
        size, so that nothing is scaled.
    """
    matrix = _out_of_sculpt(*into) @ np.linalg.inv(_out_of_sculpt(*placed))
    turn = matrix[:3, :3] / scale_of(matrix)
    return placement(turn, move_points(matrix, middle) - turn @ middle)


def _out_of_sculpt(placed: Floats, laid: Floats | None) -> Floats:
    return placed if laid is None else np.asarray(placed @ np.linalg.inv(laid))
