"""What an eye at some place sees of the scene, and from where it sees all of it."""

from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.dimensions import dimensions_of
from holdwright.gui.viewport.picking import Pick, first_met
from holdwright.gui.viewport.view_camera import Lens, Pose
from holdwright.gui.viewport.view_scene import Scene

MARGIN: Final = 62.0
"""Pixels left free round the hold, for figures and flags."""

_NEAR: Final = 0.02
"""A place is not hidden by what lies so near to it, of the hold's size."""

_CLOSE_LOOK: Final = 0.75


class Projection:
    """Answers for one scene."""

    def __init__(self, scene: Scene) -> None:
        self._scene = scene

    @property
    def size(self) -> float:
        """Greatest extent of what is shown, mm; 100 of nothing."""
        points = self._scene.points
        return float(np.ptp(points, axis=0).max()) if len(points) else 100.0

    def pick(self, lens: Lens, x: float, y: float, *, rough: bool = False) -> Pick | None:
        """Give what lies under a pixel, from the coarser surfaces where that will do."""
        start, direction = lens.ray(x, y)
        return self._met(start, direction, lens.pose.distance + 20.0 * self.size, rough=rough)

    def met(self, lens: Lens, x: float, y: float) -> Floats | None:
        """Give the point under a pixel as it is shown, about."""
        found = self.pick(lens, x, y, rough=True)
        return self._shown(found) if found else None

    def hides(self, place: Floats, pose: Pose) -> bool:
        """Tell whether the hold lies between a place and the eye."""
        way = place - pose.position
        far = float(np.linalg.norm(way))
        found = self._met(pose.position, way / max(far, 1e-9), far, rough=True)
        return found is not None and float(np.linalg.norm(self._shown(found) - place)) > _NEAR * self.size

    def fitted(self, pose: Pose, size: tuple[int, int], *, figures: bool) -> Pose:
        """Give the pose with the same view that shows everything, its dimension lines too if asked."""
        points, extremes = self._scene.points, self._scene.extremes
        fitted = pose.fitted(points, size, MARGIN)
        if not figures or extremes is None:
            return fitted
        feet = [each.places for each in dimensions_of(extremes, Lens(fitted, size))]
        return pose.fitted(np.concatenate([points, *feet]), size, MARGIN)

    def focused(self, spot: Floats, pose: Pose, size: tuple[int, int]) -> Pose:
        """Give a pose that shows a place at the middle, from outside where it is hidden now."""
        points = self._scene.points
        fitted = self.fitted(pose, size, figures=False)
        outward = spot - points.mean(axis=0) if len(points) else pose.frame[2]
        azimuth, elevation = pose.azimuth, pose.elevation
        if self.hides(spot, pose) and np.linalg.norm(outward) > 1e-6:
            x, y, z = outward / np.linalg.norm(outward)
            azimuth = float(np.degrees(np.arctan2(x, z)))
            elevation = float(np.clip(np.degrees(np.arcsin(y)), -50, 50))
        return Pose(spot, azimuth, elevation, _CLOSE_LOOK * fitted.distance)

    def _met(self, start: Floats, direction: Floats, reach: float, *, rough: bool) -> Pick | None:
        targets = [part.target(rough=rough) for part in self._scene.visible]
        return first_met(targets, start, direction, reach, self._scene.section)

    def _shown(self, found: Pick) -> Floats:
        return found.point + self._scene.parts[found.part].lift
