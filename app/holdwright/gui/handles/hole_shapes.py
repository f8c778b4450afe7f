"""What the handles draw of a hole that a step would cut: rim, seat ring and cutter, in mm."""

from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.handles.shapes import SIDES, Mesh, turned
from holdwright.operations.hole_step import SeatedHole

CLEAR: Final = 1.0
"""The cutter is drawn as far above the surface, mm."""
_UP: Final = np.array([0.0, 0.0, 1.0])


def surface_height(seated: SeatedHole) -> float:
    """Distance from the foot to the surface, along the axis; 0 beside the hold."""
    return float(np.nan_to_num(seated.site.tops(np.zeros((1, 2))))[0])


def top(seated: SeatedHole) -> Floats:
    """Give where the axis leaves the hold (3,)."""
    return seated.hole.on_axis(max(surface_height(seated), seated.hole.seat + CLEAR))


def rim(seated: SeatedHole) -> Floats:
    """Give the pocket's edge as it lies on the surface: a closed polyline (n, 3)."""
    line = _outline(seated.hole, seated.hole.pocket_radius)
    line[:, 2] = _rim_heights(seated, line)
    return move_points(seated.hole.from_axis, line)


def seat_ring(seated: SeatedHole) -> Floats:
    """Give the edge of what presses on the seat: a closed polyline (n, 3)."""
    hole = seated.hole
    line = _outline(hole, hole.ring_diameter / 2)
    # A head lies in its cone as far up as it is wide.
    wide = (hole.ring_diameter - hole.clearance_diameter) / (hole.pocket_diameter - hole.clearance_diameter)
    line[:, 2] = hole.seat + hole.cone_height * wide
    return move_points(hole.from_axis, line)


def cutter(seated: SeatedHole) -> Mesh:
    """Give what the hole takes away, as a surface."""
    hole = seated.hole
    edge = _rim_heights(seated, _outline(hole, hole.pocket_radius))
    end = max(surface_height(seated), float(edge.max())) + CLEAR
    points, triangles = turned(hole.profile(0.0, end), np.zeros(3), _UP, SIDES)
    return move_points(hole.from_axis, _drawn_out(hole, points)), triangles


def _rim_heights(seated: SeatedHole, line: Floats) -> Floats:
    return np.asarray(np.fmax(seated.site.tops(line[:, :2]), seated.hole.mouth))


def _outline(hole: Hole, radius: float) -> Floats:
    """Give a circle, or a slot's outline, at the foot in the hole's frame: closed, (n, 3)."""
    angle = (np.arange(SIDES + 1) + 0.5) * (2 * np.pi / SIDES)
    return _drawn_out(hole, radius * np.column_stack([np.cos(angle), np.sin(angle), np.zeros(SIDES + 1)]))


def _drawn_out(hole: Hole, points: Floats) -> Floats:
    """Move both halves of what was turned apart along the slot."""
    if hole.slot == 0.0:
        return points
    way = np.array([*hole.slot_way, 0.0])
    return np.asarray(points + np.outer(np.sign(points @ way), hole.slot / 2 * way))
