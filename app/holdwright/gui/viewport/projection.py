"""What the camera sees of the scene, and from where it sees all of it."""

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtWidgets import QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.dimensions import dimensions_of
from holdwright.gui.viewport.picking import Pick, first_hit
from holdwright.gui.viewport.view_camera import FIRST, Lens, Pose
from holdwright.gui.viewport.view_scene import Scene

MARGIN: Final = 62.0
"""Pixels left free round the hold, for figures and flags."""


class Projection:
    """Between the scene and the pixels of a widget, counted from its upper left corner.

    Parameters
    ----------
    beside
        Gives (n, 3) points beside the hold that a fitted view shows as well.

    Attributes
    ----------
    pose
        From where the hold is looked at.
    """

    def __init__(self, scene: Scene, widget: QWidget, beside: Callable[[], Floats]) -> None:
        self.pose = FIRST
        self._beside = beside
        self._scene = scene
        self._widget = widget

    @property
    def lens(self) -> Lens:
        """Between points in mm and pixels, as things are now."""
        return Lens(self.pose, (max(self._widget.width(), 1), max(self._widget.height(), 1)))

    @property
    def size(self) -> float:
        """Greatest extent of what is shown, mm; 100 of nothing."""
        points = self._scene.points
        return float(np.ptp(points, axis=0).max()) if len(points) else 100.0

    @property
    def sees_all(self) -> bool:
        """Whether the whole hold is in the picture, with its dimension lines."""
        extremes, lens = self._scene.extremes, self.lens
        if extremes is None:
            return False
        ends = [each.ends for each in dimensions_of(extremes, lens)]
        return self.sees(self._scene.points) and _within(np.concatenate([np.zeros((0, 2)), *ends]), lens)

    def sees(self, points: Floats) -> bool:
        """Tell whether (n, 3) points are in the picture; what stands before them does not matter."""
        lens = self.lens
        return _within(lens.project(points)[:, :2], lens)

    def pick(self, x: float, y: float, *, rough: bool = False) -> Pick | None:
        """Give what lies under a pixel, or None; from the coarser surfaces where that will do."""
        start, direction = self.lens.ray(x, y)
        return self._first(start, direction, self.pose.distance + 20.0 * self.size, rough=rough)

    def point_under(self, x: float, y: float) -> Floats | None:
        """Give the point under a pixel as it is shown, about; None beside the hold."""
        found = self.pick(x, y, rough=True)
        return self._shown(found) if found else None

    def hides(self, place: Floats, pose: Pose | None = None) -> bool:
        """Tell whether the hold, unless it is seen through, lies between a place and the camera."""
        if self._scene.seen_through:
            return False
        eye = (pose or self.pose).position
        way = place - eye
        far = float(np.linalg.norm(way))
        found = self._first(eye, way / max(far, 1e-9), far, rough=True)
        # A place is not hidden by what lies so near to it.
        return found is not None and float(np.linalg.norm(self._shown(found) - place)) > 0.02 * self.size

    def fitted(self, pose: Pose, *, figures: bool) -> Pose:
        """Give the pose with the same view that shows all, with `figures` dimension lines and handles too."""
        size = self.lens.size
        points, extremes = self._scene.points, self._scene.extremes
        if figures and len(points):
            points = np.concatenate([points, self._beside()])
        fitted = pose.fitted(points, size, MARGIN)
        if not figures or extremes is None:
            return fitted
        feet = [each.places for each in dimensions_of(extremes, Lens(fitted, size))]
        return pose.fitted(np.concatenate([points, *feet]), size, MARGIN)

    def focused(self, spot: Floats) -> Pose:
        """Give a pose that shows a place at the middle: as now, from the front, else from outside."""
        pose, points = self.pose, self._scene.points
        distance = 0.75 * self.fitted(pose, figures=False).distance
        outward = spot - points.mean(axis=0) if len(points) else pose.frame[2]
        ways = [(pose.azimuth, pose.elevation), (0.0, 0.0)]
        if np.linalg.norm(outward) > 1e-6:
            x, y, z = outward / np.linalg.norm(outward)
            steep = float(np.clip(np.degrees(np.arcsin(y)), -50, 50))
            ways.append((float(np.degrees(np.arctan2(x, z))), steep))
        poses = [Pose(spot, *way, distance) for way in ways]
        return next((each for each in poses if not self.hides(spot, each)), poses[-1])

    def _first(self, start: Floats, direction: Floats, reach: float, *, rough: bool) -> Pick | None:
        targets = [part.target(rough=rough) for part in self._scene.visible]
        return first_hit(targets, start, direction, reach, self._scene.section)

    def _shown(self, found: Pick) -> Floats:
        return found.point + self._scene.parts[found.part].lift


def _within(pixels: Floats, lens: Lens) -> bool:
    """Tell whether (n, 2) places in pixels lie in the picture."""
    return bool((pixels >= 0.0).all() and (pixels <= lens.size).all())
