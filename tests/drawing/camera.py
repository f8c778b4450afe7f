"""From where a hold is looked at."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats

_DIRECTIONS: Final[dict[str, tuple[float, float, float]]] = {
    "front": (0.0, 0.0, 1.0),
    "above": (0.14, 0.42, 0.9),
    "three_quarter": (0.62, 0.42, 0.66),
    "side": (1.0, 0.0, 0.0),
    "back": (-0.35, 0.25, -0.9),
    "below": (-0.5, -0.55, 0.66),
}
"""From the hold to the camera; up on the wall is +y, the wall's normal +z."""


@dataclass(frozen=True, eq=False)
class Camera:
    """A camera in mm."""

    position: Floats
    target: Floats
    up: Floats
    """position, target and up: (3,) each."""
    view_angle: float
    """Full angle of view from bottom to top in degrees; 0 for parallel rays."""
    half_height: float
    """Half of what is seen from bottom to top, at the target."""
    near: float
    far: float
    """near and far: limits of what is seen, along the line of sight."""

    @property
    def frame(self) -> Floats:
        """(3, 3): rows right, up and toward the camera, unit vectors."""
        return _frame(self.position - self.target, self.up)


def camera_for(points: Floats, view: str, size: tuple[int, int], room: float = 1.12) -> Camera:
    """Place a camera so that all `points` are seen.

    Parameters
    ----------
    points
        (n, 3), mm.
    view
        As of `frame_of`.
    size
        Width and height of the picture; only their ratio matters.
    room
        How much larger the picture is than what it shows.

    Raises
    ------
    ParameterError
        When there is no such view.
    """
    frame = frame_of(view)
    angle = 0.0 if view in {"front", "side"} else 16.0
    seen = points @ frame.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    middle, radius = (low + high) / 2, float(np.linalg.norm(high - low)) / 2
    if angle == 0.0:
        half_height = room * max((high[1] - low[1]) / 2, (high[0] - low[0]) / 2 * size[1] / size[0])
        distance = 4.0 * radius
    else:
        slope = np.tan(np.radians(angle / 2))
        up, height = _between_rays(seen[:, 1], seen[:, 2], slope / room)
        aside, width = _between_rays(seen[:, 0], seen[:, 2], slope / room * size[0] / size[1])
        middle[:2] = aside, up
        distance = max(height, width) - middle[2]
        half_height = distance * slope
    target = middle @ frame
    near, far = max(distance - 3 * radius, distance / 50), distance + 8 * radius
    return Camera(target + frame[2] * distance, target, frame[1], angle, half_height, near, far)


def _between_rays(across: Floats, toward: Floats, slope: float) -> tuple[float, float]:
    """Put a camera so that points lie between two rays that leave it at +-`slope`.

    Parameters
    ----------
    across, toward
        (n,) each: the points square to the line of sight, and along it toward the camera.

    Returns
    -------
    Where the camera is across, and how far toward, so that both rays just touch.
    """
    one = float(np.max(across + toward * slope))
    other = float(np.max(-across + toward * slope))
    return (one - other) / 2, (one + other) / 2 / slope


def frame_of(view: str) -> Floats:
    """Give a view's (3, 3) frame: rows right, up and toward the camera.

    Raises
    ------
    ParameterError
        When there is no such view.
    """
    if view not in _DIRECTIONS:
        raise ParameterError(f"A picture from {view!r} was asked for; there are {', '.join(_DIRECTIONS)}.")
    return _frame(np.array(_DIRECTIONS[view]), np.array([0.0, 1.0, 0.0]))


def _frame(toward: Floats, up: Floats) -> Floats:
    toward = toward / np.linalg.norm(toward)
    right = np.cross(up, toward)
    right /= np.linalg.norm(right)
    return np.array([right, np.cross(toward, right), toward])


def parallel_camera(toward: Floats, centre: Floats, radius: float) -> Camera:
    """Give a camera of parallel rays that sees a whole ball from the direction `toward` (unit)."""
    up = np.array([0.0, 1.0, 0.0]) if abs(toward[1]) < 0.9 else np.array([1.0, 0.0, 0.0])
    return Camera(centre + toward * 3 * radius, centre, up, 0.0, radius, 1.9 * radius, 4.1 * radius)
