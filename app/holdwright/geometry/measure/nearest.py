"""The point of a surface nearest to a given one, exactly."""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import closest_on_triangles
from holdwright.geometry.mesh.mesh import lengths
from holdwright.geometry.mesh.solid import Solid

_FACING = 0.5
"""Cosine of 60 degrees: beyond it a surface faces another way."""


@dataclass(frozen=True, eq=False)
class SurfacePoint:
    """A point on a solid's surface."""

    point: Floats
    """(3,) float64, mm."""
    normal: Floats
    """(3,) float64 unit, outward: mean over the triangles close by, so that a rough surface does not
    jitter."""
    distance: float
    """mm from the point asked about."""
    triangle: int
    """Index of the triangle it lies on, within this solid's own arrays."""


def nearest(
    solid: Solid, point: Floats, facing: Floats | None = None, reach: float = 1.0
) -> SurfacePoint | None:
    """Find the surface point nearest to `point`.

    Parameters
    ----------
    solid
        mm.
    point
        (3,) float64, mm.
    facing
        (3,) unit: count only triangles whose normal is within 60 degrees of it. All where left out.
    reach
        Radius in mm over which the normal is averaged.

    Returns
    -------
    SurfacePoint or None
        None when no triangle faces that way.

    Notes
    -----
    Only triangles whose box comes within a radius are measured, and the radius grows until the nearest is
    within it; for a few picks that costs less than building a search tree.
    """
    gaps = _gaps(_boxes(solid), point)
    radius = max(float(np.sqrt(gaps.min())) * (1.0 + 1e-9), reach)
    while True:
        near = np.flatnonzero(gaps <= radius * radius)
        corners = solid.vertices[solid.triangles[near]] - point
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        if facing is not None:
            kept = across @ facing > _FACING * lengths(across)
            near, corners, across = near[kept], corners[kept], across[kept]
        if len(near):
            found = closest_on_triangles(np.zeros((len(near), 3)), corners)
            distance = lengths(found)
            best = int(np.argmin(distance))
            if distance[best] <= radius:
                break
            radius = float(distance[best]) * (1.0 + 1e-9)
        elif radius * radius >= gaps.max():
            return None
        else:
            radius *= 4.0
    close = distance <= max(reach, float(distance[best]) * (1.0 + 1e-9))
    normal = _mean_normal(across[best], across[close])
    return SurfacePoint(found[best] + point, normal, float(distance[best]), int(near[best]))


_kept_boxes: WeakKeyDictionary[Solid, tuple[Floats, Floats]] = WeakKeyDictionary()


def _boxes(solid: Solid) -> tuple[Floats, Floats]:
    """Least and greatest corner (3, m) of each triangle's box, kept while the solid lives."""
    boxes = _kept_boxes.get(solid)
    if boxes is None:
        low, high = np.empty((2, 3, len(solid.triangles)))
        for axis in range(3):
            first, second, third = solid.vertices[:, axis][solid.triangles.T]
            low[axis] = np.minimum(np.minimum(first, second), third)
            high[axis] = np.maximum(np.maximum(first, second), third)
        boxes = _kept_boxes[solid] = (low, high)
    return boxes


def _gaps(boxes: tuple[Floats, Floats], point: Floats) -> Floats:
    """Square of the distance (m,) from a point to each box."""
    low, high = boxes
    total = np.zeros(low.shape[1])
    for axis in range(3):
        gap = np.maximum(low[axis] - point[axis], point[axis] - high[axis])
        np.maximum(gap, 0.0, out=gap)
        total += gap * gap
    return total


def _mean_normal(own: Floats, close: Floats) -> Floats:
    """Area-weighted normal of the close triangles that face the way the nearest one, `own`, does."""
    agreeing = close @ own > _FACING * np.linalg.norm(close, axis=1) * np.linalg.norm(own)
    total = own + close[agreeing].sum(axis=0)
    if not np.linalg.norm(total) > 0.0:  # the nearest triangle is a bare line
        total = close.sum(axis=0)
    length = float(np.linalg.norm(total))
    return np.asarray(total / length if length > 0.0 else np.array([0.0, 0.0, 1.0]))
