"""Places among a step's parameters, moved as the hold they lie on is."""

from typing import Any, Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.parameters.describe import FieldDescription, describe, is_relevant
from holdwright.parameters.kinds import Parameters, PointPick

LEVEL: Final = 5.0
"""Degrees by which a plane may be tilted and still be called level: 5 mm at the edge of 120 mm."""

ON_PLANE: Final = 0.01
"""mm by which the lowest point of a hold turned to the wall may lie off the plane it is put on."""


def moved_places(parameters: Parameters, matrix: Floats, low: float = 0.0) -> tuple[dict[str, Any], float]:
    """Move what places a step's parameters give, as far as they matter.

    Parameters
    ----------
    matrix
        (4, 4) similarity, mirroring or not, from the frame they are given in to another one. In the first the
        hold's lowest point, over which heights are given, is on z = 0.
    low
        z of the lowest point in the other one, mm. Off zero the hold was not turned to the wall: where its
        lowest point was in the first is not known, and heights stay as they are.

    Returns
    -------
    The values that change, and how far the place that moves farthest goes, mm. Directions on the wall stay.
    """
    changes: dict[str, Any] = {}
    farthest = 0.0
    for field in describe(type(parameters)):
        value = getattr(parameters, field.name)
        if value is None or not is_relevant(field, parameters):
            continue
        moved, by = _raised(field, value, matrix, low) if field.on_sculpt else _moved(field, value, matrix)
        if moved != value:
            changes[field.name] = moved
            farthest = max(farthest, by)
    return changes, farthest


def _moved(field: FieldDescription, value: Any, matrix: Floats) -> tuple[Any, float]:
    """Move a place, or several, and say by how much; anything else stays."""
    match field.kind:
        case "position":
            x, y, _ = move_points(matrix, np.array([*value, 0.0])).tolist()
            return (x, y), float(np.hypot(x - value[0], y - value[1]))
        case "pick":
            return moved_pick(value, matrix)
        case "picks":
            moved = [moved_pick(each, matrix) for each in value]
            return tuple(pick for pick, _ in moved), max((by for _, by in moved), default=0.0)
        case _:
            return value, 0.0


def _raised(field: FieldDescription, value: float, matrix: Floats, low: float) -> tuple[float, float]:
    """Move a height over the lowest point, as far as it may go, and say by how much."""
    height = moved_height(value, matrix) if abs(low) <= ON_PLANE else None
    if height is None:
        return value, 0.0
    least, most = field.minimum or 0.0, np.inf if field.maximum is None else field.maximum
    height = min(max(height, least), most)
    return height, abs(height - value)


def moved_height(value: float, matrix: Floats) -> float | None:
    """Give the z in another frame of a height over the middle; None where what was level is not."""
    if matrix[2, 2] < np.cos(np.radians(LEVEL)) * scale_of(matrix):
        return None
    return float(move_points(matrix, np.array([0.0, 0.0, value]))[2])


def moved_pick(pick: PointPick, matrix: Floats) -> tuple[PointPick, float]:
    """Move a pick, and say by how much."""
    before = np.array(pick.point)
    after = move_points(matrix, before)
    x, y, z = after.tolist()
    u, v, w = (matrix[:3, :3] @ np.array(pick.normal) / scale_of(matrix)).tolist()
    return PointPick(point=(x, y, z), normal=(u, v, w)), float(np.linalg.norm(after - before))
