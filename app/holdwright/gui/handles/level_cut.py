"""Where a level plane meets a surface, from the triangles alone: quick enough for each move."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.pipeline.display_results import Surface


@dataclass(frozen=True, eq=False)
class LevelCut:
    """A level section.

    Attributes
    ----------
    segments
        (n, 2, 3) mm; material lies to the left of each, seen from above.
    area
        What the section encloses, mm2, holes left out.
    """

    segments: Floats
    area: float


def level_cut(surface: Surface, z: float) -> LevelCut:
    """Cut a surface that is closed and wound outward by the plane at height `z`, mm."""
    above = surface.vertices[:, 2] > np.float32(z)
    corners_above = above[surface.triangles]
    count = corners_above.sum(axis=1)
    met = (count == 1) | (count == 2)
    if not met.any():
        return LevelCut(np.zeros((0, 2, 3)), 0.0)
    single = count[met] == 1
    # The corner that is alone on its side, then the other two as wound.
    alone = np.argmax(corners_above[met] == single[:, None], axis=1)
    triangles = surface.triangles[met]
    row = np.arange(len(triangles))
    order = (alone[:, None] + np.arange(3)) % 3
    first, second, third = (
        surface.vertices[triangles[row, order[:, corner]]].astype(np.float64) for corner in range(3)
    )
    ahead, behind = _at(first, second, z), _at(first, third, z)
    # With the lone corner above, material lies left of the way from the edge ahead of it to that behind.
    start = np.where(single[:, None], ahead, behind)
    stop = np.where(single[:, None], behind, ahead)
    segments = np.stack([start, stop], axis=1)
    middle = segments.reshape(-1, 3).mean(axis=0)
    a, b = segments[:, 0] - middle, segments[:, 1] - middle
    area = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2.0)
    return LevelCut(segments, area)


def _at(one: Floats, other: Floats, z: float) -> Floats:
    """Give the points at height `z` on the way from one to the other (n, 3) points."""
    share = (z - one[:, 2]) / (other[:, 2] - one[:, 2])
    place = one + share[:, None] * (other - one)
    place[:, 2] = z
    return place
