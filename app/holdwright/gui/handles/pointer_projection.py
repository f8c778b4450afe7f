"""Where the pointer is in space: on a level plane, along an axis, on a whole figure."""

from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.gui.widgets.number_format import Preferred
from holdwright.units import MILLIMETRES

Ray = tuple[Floats, Floats]
"""A line of sight: start (3,) and unit direction (3,), mm."""

END_ON: Final = 0.985
"""Cosine of the angle (10 degrees) below which an axis is taken to be seen along its length."""

_INCHES: Final = {1.0: 0.05, 0.5: 0.02, 0.1: 0.005}
"""What a step in mm becomes for somebody who works in inches, in inches."""


def on_level(ray: Ray, through: Floats) -> Floats:
    """Give where the pointer is on the level plane through a point.

    Seen edge on, such a plane says nothing of depth: then the pointer moves on the upright plane through the
    point that faces the camera, and only sideways.
    """
    start, direction = ray
    # Below this sine of the angle a plane is taken to be seen edge on.
    if abs(direction[2]) > 0.2:
        return np.asarray(start + direction * ((through[2] - start[2]) / direction[2]))
    facing = np.array([direction[0], direction[1], 0.0])
    facing /= np.linalg.norm(facing)
    place = start + direction * (((through - start) @ facing) / (direction @ facing))
    return np.array([place[0], place[1], through[2]])


def along_axis(ray: Ray, origin: Floats, axis: Floats) -> float:
    """Give how far from `origin` along a unit axis the pointer is, mm: where both lines pass nearest."""
    start, direction = ray
    slant = float(axis @ direction)
    gap = start - origin
    return float((gap @ axis - slant * (gap @ direction)) / max(1.0 - slant * slant, 1e-9))


def is_end_on(ray: Ray, axis: Floats) -> bool:
    """Tell whether an axis is seen so nearly along it that the pointer says nothing of the way on it."""
    return float(abs(axis @ ray[1])) > END_ON


def snapped(value: float, step_mm: float, unit: Preferred, *, free: bool = False) -> float:
    """Put a length on whole steps (a like step where inches are preferred); free: on hundredths of a mm."""
    if free:
        return round(value, 2)
    step = step_mm if unit == "mm" else _INCHES[step_mm] * MILLIMETRES["inch"]
    return round(round(value / step) * step, 4)


def area_text(area: float, unit: Preferred) -> str:
    """Write an area in mm2 likewise."""
    if unit == "mm":
        return f"{area / 100.0:.1f} cm²"
    return f"{area / MILLIMETRES['inch'] ** 2:.2f} in²"
