"""What is remembered of the steps of a recipe as they were done on the sculpt it was made with."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.hold.finding import Point, point

Frame = tuple[float, float, float, float, float, float, float, float, float, float, float, float]
"""The upper three rows of a placement, one after the other."""


@dataclass(frozen=True)
class EarlierStep:
    """A step as it was done on the earlier sculpt."""

    id: str
    """Of the step in its recipe."""
    frame: Frame | None = None
    """From the earlier sculpt's coordinates (see `EarlierSculpt`) to the hold's as the step left it; None:
    the step before left it there too."""
    followed: bool = False
    """Whether the step's places are written for another sculpt by now, and follow this one no longer."""
    found: tuple[Point, ...] = ()
    """Places that the step found by itself, in the frame of the hold as it left it, mm: the feet of bores and
    screws, the tips that were cut, and of the back two places on a line square to it, the first inside."""
    kept: bool = False
    """Whether these had been kept from the sculpt before the earlier one."""

    def moved(self, matrix: Floats) -> "EarlierStep":
        """Give it as it would be if a (4, 4) similarity had moved the hold as it left the step."""
        frame = None if self.frame is None else frame_of(matrix @ _matrix(self.frame))
        found = tuple(point(move_points(matrix, np.array(each))) for each in self.found)
        return replace(self, frame=frame, found=found)


def frame_of(matrix: Floats) -> Frame:
    """Give a (4, 4) placement as it is remembered."""
    a, b, c, d, e, f, g, h, i, j, k, m = (float(value) for value in matrix[:3].flat)
    return (a, b, c, d, e, f, g, h, i, j, k, m)


def entered_frame(steps: Sequence[EarlierStep], step_id: str) -> Floats | None:
    """Give the (4, 4) placement of the earlier hold as it entered a step; None where that is not known."""
    latest: Frame | None = None
    for step in steps:
        if step.id == step_id:
            return None if latest is None else _matrix(latest)
        latest = step.frame or latest
    return None


def left_frame(steps: Sequence[EarlierStep], step_id: str) -> Floats | None:
    """Give the (4, 4) placement of the earlier hold as it left a step; None where that is not known."""
    latest: Frame | None = None
    for step in steps:
        latest = step.frame or latest
        if step.id == step_id and latest is not None:
            return _matrix(latest)
    return None


def _matrix(frame: Frame) -> Floats:
    rows = np.array(frame).reshape(3, 4)
    return placement(rows[:, :3], rows[:, 3])
