"""Circles as regular polygons that keep the true circle's area, so that volumes come out right."""

from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats

SEGMENTS: Final = 128
"""Sides of a polygon that stands for a circle: at 30 mm radius it strays from it by less than 0.01 mm."""


def area_true_radius(radius: float, segments: int = SEGMENTS) -> float:
    """Give the corner radius of the regular polygon of the same area as the circle of `radius`.

    The inscribed polygon is too small: with 128 sides by 0.04 % of the area. Corners at
    ``radius * sqrt((2 pi / n) / sin(2 pi / n))`` make up for it exactly, and so volumes of cylinders and
    frusta agree with their closed forms to rounding.
    """
    step = 2.0 * np.pi / segments
    return float(radius * np.sqrt(step / np.sin(step)))


def circle_points(radius: float, segments: int = SEGMENTS) -> Floats:
    """Give the corners of the polygon that stands for a circle round the origin.

    Parameters
    ----------
    radius
        Radius of the true circle, mm.
    segments
        Number of corners.

    Returns
    -------
    Floats
        (segments, 2) float64, mm, counter-clockwise, the first on the positive x axis.
    """
    angles = np.arange(segments) * (2.0 * np.pi / segments)
    return area_true_radius(radius, segments) * np.column_stack([np.cos(angles), np.sin(angles)])
