"""Ways to cut a hold open in the view: along its bore, across it, or level with the wall."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.hold.feature import Bore
from holdwright.pipeline.display_results import ShownStep

Way = Literal["along", "across", "level"]


@dataclass(frozen=True, eq=False)
class SectionAxis:
    """Where a plane of section may slide.

    Attributes
    ----------
    origin
        (3,) point of the plane at offset 0, mm.
    normal
        (3,) unit normal; what lies on its side is taken away.
    low, high
        Offsets between which the plane meets the hold, mm.
    start
        The offset to begin with.
    """

    origin: Floats
    normal: Floats
    low: float
    high: float
    start: float

    def at(self, offset: float) -> Floats:
        """Give the plane's point at an offset."""
        return np.asarray(self.origin + self.normal * offset)


def section_axes(step: ShownStep) -> Mapping[Way, SectionAxis]:
    """Give the ways to cut what a step shows; none where it has no solid.

    The first two contain the axis of the last bore, or, before there is one, the line square to the wall
    through the middle of the hold. The third is measured from the finished back.
    """
    if step.measures is None:
        return {}
    low, high = np.array(step.measures.bounds_mm)
    bores = [feature for feature in step.features if isinstance(feature, Bore)]
    foot, axis = (low + high) / 2, np.array([0.0, 0.0, 1.0])
    if bores:
        foot, axis = np.array([bores[-1].x, bores[-1].y, 0.0]), np.array(bores[-1].axis)
    aside = np.cross([0.0, 1.0, 0.0], axis)
    aside /= np.linalg.norm(aside)
    up = np.cross(axis, aside)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    return {
        "along": _axis(foot, aside, corners),
        "across": _axis(foot, up, corners),
        "level": _axis(np.array([foot[0], foot[1], 0.0]), np.array([0.0, 0.0, 1.0]), corners),
    }


def _axis(origin: Floats, normal: Floats, corners: Floats) -> SectionAxis:
    heights = (corners - origin) @ normal
    low, high = float(heights.min()), float(heights.max())
    start = 0.0 if low < 0.0 < high and -low > 0.1 * (high - low) else (low + high) / 2
    return SectionAxis(origin, normal, low, high, start)
