"""From where the hold is looked at: a turntable about the wall's up, and what that makes of a point."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats

VIEW_ANGLE: Final = 11.0
"""Degrees from bottom to top: a long lens, so that a hold looks as from across the room."""

STEEPEST: Final = 89.9
"""Degrees the view may rise above the horizontal, so that up stays up."""

THREE_QUARTERS: Final = {
    "three_quarter": (38.0, 24.0),
    "three_quarter_left": (-38.0, 24.0),
    "three_quarter_behind": (142.0, 24.0),
    "three_quarter_behind_left": (-142.0, 24.0),
}
"""The views that show three sides, the usual one first."""

VIEWS: Final = {
    "front": (0.0, 0.0),
    "back": (180.0, 0.0),
    "right": (90.0, 0.0),
    "left": (-90.0, 0.0),
    "top": (0.0, STEEPEST),
    "bottom": (0.0, -STEEPEST),
    **THREE_QUARTERS,
}
"""Azimuth and elevation of each named view, in degrees."""


_TANGENT: Final = float(np.tan(np.radians(VIEW_ANGLE / 2)))


@dataclass(frozen=True, eq=False)
class Pose:
    """A camera on a turntable."""

    target: Floats
    """(3,) the point looked at, mm."""
    azimuth: float
    """Degrees about +y: 0 looks at the hold as on the wall, 90 from its right."""
    elevation: float
    """Degrees above the horizontal."""
    distance: float
    """From target to camera, mm."""

    @cached_property
    def frame(self) -> Floats:
        """(3, 3): rows right, up and toward the camera, unit vectors."""
        turn, rise = np.radians(self.azimuth), np.radians(self.elevation)
        right = np.array([np.cos(turn), 0.0, -np.sin(turn)])
        toward = np.array([np.sin(turn) * np.cos(rise), np.sin(rise), np.cos(turn) * np.cos(rise)])
        return np.array([right, np.cross(toward, right), toward])

    @cached_property
    def position(self) -> Floats:
        """(3,) where the camera stands."""
        return np.asarray(self.target + self.frame[2] * self.distance)

    def turned(self, azimuth: float, elevation: float) -> "Pose":
        """Give the pose after a turn by some degrees."""
        steep = min(max(self.elevation + elevation, -STEEPEST), STEEPEST)
        return replace(self, azimuth=(self.azimuth + azimuth + 180.0) % 360.0 - 180.0, elevation=steep)

    def closer(self, place: Floats, factor: float) -> "Pose":
        """Give the pose after a step toward a place (factor below 1), which keeps its spot on screen."""
        return replace(self, target=place + (self.target - place) * factor, distance=self.distance * factor)

    def moved(self, right: float, up: float) -> "Pose":
        """Give the pose after a shift along the picture, mm."""
        frame = self.frame
        return replace(self, target=self.target + frame[0] * right + frame[1] * up)

    def toward(self, other: "Pose", share: float) -> "Pose":
        """Give the pose on the way to another: 0 here, 1 there."""
        round_trip = (other.azimuth - self.azimuth + 180.0) % 360.0 - 180.0
        return Pose(
            self.target + (other.target - self.target) * share,
            (self.azimuth + round_trip * share + 180.0) % 360.0 - 180.0,
            self.elevation + (other.elevation - self.elevation) * share,
            self.distance * (other.distance / self.distance) ** share,
        )

    def is_near(self, other: "Pose") -> bool:
        """Tell whether what another pose shows is about as large and in the same place.

        On the way from elsewhere there is nothing to see but a dot.
        """
        away = float(np.linalg.norm(other.target - self.target))
        return 0.2 < other.distance / self.distance < 5.0 and away < max(self.distance, other.distance)

    def looks_like(self, other: "Pose") -> bool:
        """Tell whether another pose shows the same."""
        mine, its = ([*each.target, each.azimuth, each.elevation, each.distance] for each in (self, other))
        return np.allclose(mine, its)

    def fitted(self, points: Floats, size: tuple[int, int], margin: float) -> "Pose":
        """Give the pose with the same view that shows all points, the picture's middle free of borders.

        Parameters
        ----------
        points
            (n, 3), mm; none leave the pose as it is.
        size
            Width and height of the picture.
        margin
            Pixels to be left free all round.
        """
        if not len(points):
            return self
        frame = self.frame
        seen = points @ frame.T
        low, high = seen.min(axis=0), seen.max(axis=0)
        middle = (low + high) / 2
        across = np.abs(seen - middle)
        used = np.maximum(np.array(size) - 2 * margin, np.array(size) * 0.4)
        tangents = _TANGENT * used / max(size[1], 1)
        distance = float((across[:, :2] / tangents + (seen[:, 2:] - middle[2])).max())
        least = float(np.linalg.norm(high - low)) * 0.6
        return replace(self, target=middle @ frame, distance=max(distance, least, 1e-3))


def clear_view(beside: Floats) -> str:
    """Name the three-quarter view that looks past what lies beside a hold in (3,) a direction, if any."""

    def behind(name: str) -> float:
        toward = Pose(np.zeros(3), *VIEWS[name], 1.0).frame[2]
        return round(float(toward @ beside), 6)

    return min(THREE_QUARTERS, key=behind)


FIRST: Final = Pose(np.zeros(3), *VIEWS["three_quarter"], 500.0)


@dataclass(frozen=True, eq=False)
class Lens:
    """A pose and the picture's size: between points in mm and places in pixels of the widget."""

    pose: Pose
    size: tuple[int, int]
    """Width and height in device-independent pixels; x runs right and y down."""

    @property
    def focal(self) -> float:
        """Pixels that 1 mm takes at 1 mm distance."""
        return self.size[1] / (2.0 * _TANGENT)

    def project(self, points: Floats) -> Floats:
        """Give (n, 3): x, y in pixels and the distance along the line of sight in mm, of (n, 3) points."""
        frame = self.pose.frame
        seen = (np.asarray(points, dtype=np.float64).reshape(-1, 3) - self.pose.position) @ frame.T
        far = -seen[:, 2]
        scale = self.focal / np.where(np.abs(far) < 1e-9, 1e-9, far)
        return np.stack(
            [self.size[0] / 2 + seen[:, 0] * scale, self.size[1] / 2 - seen[:, 1] * scale, far], axis=1
        )

    def ray(self, x: float, y: float) -> tuple[Floats, Floats]:
        """Give the line of sight through a pixel: the camera's place and a unit direction away from it."""
        across, up = (x - self.size[0] / 2) / self.focal, (self.size[1] / 2 - y) / self.focal
        frame = self.pose.frame
        direction = frame[0] * across + frame[1] * up - frame[2]
        return self.pose.position, direction / np.linalg.norm(direction)

    def mm_per_pixel(self, place: Floats) -> float:
        """Give the length in mm that a pixel covers at a place, square to the line of sight."""
        far = float((self.pose.position - place) @ self.pose.frame[2])
        return max(far, 1e-6) / self.focal

    def on_plane(self, x: float, y: float, origin: Floats, normal: Floats) -> Floats | None:
        """Give where the line of sight through a pixel meets a plane, or None."""
        start, direction = self.ray(x, y)
        slope = float(direction @ normal)
        if abs(slope) < 1e-9:
            return None
        far = float((origin - start) @ normal) / slope
        return np.asarray(start + direction * far) if far > 0 else None
