"""The material round a bore, as fine columns along its axis."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.seat import FACING, SeatRule, seat_heights
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.mesh.submesh import near_part

STEP = 0.5
"""Distance between columns, mm."""
COLLAR = 1.0
"""Width of the ring just outside the pocket whose tops are taken for the pocket's edge, mm."""


@dataclass(frozen=True, eq=False)
class BoreSite:
    """Columns over the pocket and a collar round it, in the bore's frame, before the cut.

    Attributes
    ----------
    shape
        The bore; its seat counts only where a member takes one.
    columns
        Each `STEP` mm, alike on all sides of the axis.
    """

    shape: BoreShape
    columns: Columns

    @classmethod
    def of(cls, solid: Solid, shape: BoreShape) -> "BoreSite":
        """Measure the columns of a solid, mm, finished back on z = 0."""
        reach = shape.reach + COLLAR
        grid = Grid.around(0.0, 0.0, reach, STEP)
        if not shape.upright:
            return cls.of_surface(solid.vertices, solid.triangles, shape)
        # Moving the grid to the vertices saves moving all vertices to the grid.
        there = Grid.around(shape.x, shape.y, reach, STEP)
        low, high = (np.array([shape.x, shape.y]) + side * (reach + STEP) for side in (-1.0, 1.0))
        found = columns(*near_part(solid.vertices, solid.triangles, low, high), there)
        return cls(shape, Columns(grid, found.cell, found.low, found.high))

    @classmethod
    def of_surface(cls, vertices: Floats, triangles: Indices, shape: BoreShape) -> "BoreSite":
        """Measure the columns of a closed surface, (n, 3) mm and (m, 3), along an axis of any tilt."""
        reach = shape.reach + COLLAR
        side = np.full(2, reach + STEP)
        near = near_part(move_points(shape.frame, vertices), triangles, -side, side)
        return cls(shape, columns(*near, Grid.around(0.0, 0.0, reach, STEP)))

    @cached_property
    def radius(self) -> Floats:
        """Distance of each column from the axis, or from the middle line of a slot."""
        return self.shape.away(*self.columns.grid.places)

    @cached_property
    def from_bore(self) -> Floats:
        """(4, 4) placement from the bore's frame into the hold's."""
        return np.asarray(np.linalg.inv(self.shape.frame), dtype=np.float64)

    @cached_property
    def back(self) -> Floats:
        """Height of the finished back on each column: 0 where the axis is upright, a slope otherwise."""
        x, y = self.columns.grid.places
        back_normal = self.from_bore[2, :3]
        return np.asarray(-(x * back_normal[0] + y * back_normal[1]) / back_normal[2])

    @property
    def pocket(self) -> Mask:
        """Columns within the pocket."""
        return self.radius <= self.shape.pocket_diameter / 2

    @property
    def ring(self) -> Mask:
        """Columns under what presses on the seat."""
        hole, outer = self.shape.clearance_diameter / 2, self.shape.ring_diameter / 2
        return (self.radius >= hole) & (self.radius <= outer)

    @cached_property
    def highest_back(self) -> tuple[float, Floats]:
        """Where the finished back comes nearest to the ring: height on the axis, and the place (2,)."""
        slope = -self.from_bore[2, :2] / self.from_bore[2, 2]
        steep = float(np.linalg.norm(slope))
        if steep == 0.0:
            return 0.0, np.zeros(2)
        way = np.array(self.shape.slot_way)
        place = slope / steep * self.shape.ring_diameter / 2
        place += way * np.copysign(self.shape.slot / 2, way @ slope)
        return float(place @ slope), place

    def under(self, low: Floats, ring: Mask) -> tuple[float, Floats]:
        """Give the highest of the undersides `low` on columns `ring`: its height, and the place (3,).

        Where it is the back itself, sloping under a tilted bore, it is taken to the very edge of the ring.
        """
        cell = np.unravel_index(np.argmax(np.where(ring, low, -np.inf)), low.shape)
        x, y = self.columns.grid.places
        height, place = float(low[cell]), np.array([x[cell], y[cell], low[cell]])
        back, edge = self.highest_back
        if height <= self.back[cell] and back > height:
            return back, np.array([*edge, back])
        return height, place

    def stretch(self, height: float) -> tuple[Floats, Floats]:
        """Give underside (not below the finished back) and top of each column's material at `height`."""
        low, high = self.columns.at(height)
        return np.maximum(low, self.back), high

    def seat_heights(self, rule: SeatRule) -> tuple[float, float]:
        """Give the height that a rule asks for here and the height the seat can have (see `seat`).

        Raises
        ------
        GeometryError
            When there is no material within the pocket.
        """
        low, high = self.columns.first
        low = np.maximum(low, self.back)
        met = self.pocket & ~np.isnan(high)
        if not met.any():
            raise GeometryError(
                f"There is no material to bore at x {self.shape.x:.1f}, y {self.shape.y:.1f} mm; choose "
                "another place."
            )
        x, y = self.columns.grid.places
        on_axis = float(high[met][np.argmin(np.hypot(x, y)[met])])
        seated = self.pocket & (self.radius >= self.shape.clearance_diameter / 2)
        if np.isnan(high[seated]).any():
            # Part of the pocket hangs in the air: the seat can only be right for what is nearest the axis.
            seated = met & (
                self.radius <= max(self.radius[met].min(), self.shape.clearance_diameter / 2) + STEP
            )
        under = seated & self.ring if (seated & self.ring).any() else seated
        lowest, underside = float(high[seated].min()), self.under(low, under)[0]
        asked, seat = seat_heights(rule, lowest, underside, on_axis)
        if lowest - FACING <= underside:
            seat = max(min(float(seat), on_axis - FACING), FACING)
        return float(asked), float(seat)
