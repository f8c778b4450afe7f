"""What of a tool can be taken hold of."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.pointer_projection import along_axis, is_end_on
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.gui.viewport.view_camera import Lens

KNOB_REACH: Final = 9.0
LINE_REACH: Final = 7.0
"""Pixels to either side within which a knob, or a line, is hit: at least 12 across (WCAG 2.2 asks for marks
that can be hit; 24 with the free space round them)."""


@dataclass(frozen=True, eq=False)
class Grip:
    """A knob, or a line that can be taken anywhere along it."""

    name: str
    """Among the tool's own."""
    points: Floats
    """(1, 3) a knob's place, (n, 3) a polyline or (k, 2, 3) segments, mm in the frame of what is shown."""
    cursor: Qt.CursorShape = Qt.CursorShape.OpenHandCursor
    """Shape of the pointer over it."""


@dataclass(frozen=True, eq=False)
class Grasp:
    """A grip taken: where on it, (3,) mm, and where the pointer was."""

    grip: Grip
    place: Floats
    x: float
    y: float


def grasp(grips: Iterable[Grip], x: float, y: float, lens: Lens) -> Grasp | None:
    """Give the grip under the pointer; a knob is found before a line, else the nearest."""
    best: tuple[tuple[int, float], Grasp] | None = None
    for grip in grips:
        start, stop = _segments(grip.points)
        seen_start, seen_stop = lens.project(start), lens.project(stop)
        if (seen_start[:, 2] <= 0.0).any() or (seen_stop[:, 2] <= 0.0).any():
            continue
        far, number, share = _nearest(seen_start[:, :2], seen_stop[:, :2], np.array([x, y]))
        is_knob = len(start) == 1 and bool((start == stop).all())
        if far > (KNOB_REACH if is_knob else LINE_REACH):
            continue
        rank = (0 if is_knob else 1, far)
        if best is None or rank < best[0]:
            place = start[number] + share * (stop[number] - start[number])
            best = (rank, Grasp(grip, np.asarray(place), x, y))
    return best[1] if best else None


def travel(held: Grasp, event: ToolEvent, axis: Floats, lens: Lens) -> float:
    """Give how far the pointer has dragged along a unit axis through where it took hold, mm.

    Where the axis is seen from its end, up on the screen is along it.
    """
    if is_end_on(event.ray(), axis):
        return (held.y - event.y) * lens.mm_per_pixel(held.place)
    began = along_axis(lens.ray(held.x, held.y), held.place, axis)
    return along_axis(event.ray(), held.place, axis) - began


def _segments(points: Floats) -> tuple[Floats, Floats]:
    """Give both ends of all segments of a knob (1, 3), a polyline (n, 3) or segments (k, 2, 3)."""
    if points.ndim == 3:
        return points[:, 0], points[:, 1]
    return (points, points) if len(points) == 1 else (points[:-1], points[1:])


def _nearest(start: Floats, stop: Floats, place: Floats) -> tuple[float, int, float]:
    """Give the distance in pixels of a place from segments, which is nearest, and where along it."""
    along = stop - start
    square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-12)
    share = np.clip(np.einsum("ij,ij->i", place - start, along) / square, 0.0, 1.0)
    gap = start + share[:, None] * along - place
    far = np.hypot(gap[:, 0], gap[:, 1])
    number = int(np.argmin(far))
    return float(far[number]), number, float(share[number])
