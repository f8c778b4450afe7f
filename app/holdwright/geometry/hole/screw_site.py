"""The material round a screw's axis, as fine columns: where its head goes, and what is in the way."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.bore_walls import Least
from holdwright.geometry.hole.screw_hole import ScrewShape
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.mesh.submesh import near_part

STEP = 0.5
"""Distance between columns, mm."""

LEAST = 0.5
"""Least material that must be left under a countersink for there to be one at all, mm."""

BEYOND = 1.0
"""How far the cutter goes on above the highest surface over the head, mm."""

UPWARD = 0.5
"""Least upward part of the unit normal of what faces up the wall: within 60 degrees."""

FAR_OUT = 2000.0
"""Length along the axis within which material counts, mm."""


@dataclass(frozen=True)
class HeadRule:
    """How deep a head goes, mm.

    Attributes
    ----------
    below
        How far the countersink's mouth lies below the lowest surface over it, at least.
    most
        Deeper, where more than this would be left between countersink and back: it makes the screw long.
    """

    below: float
    most: float


@dataclass(frozen=True, eq=False)
class ScrewSite:
    """Columns round the axis of a screw hole, in its own frame, before the cut.

    Attributes
    ----------
    shape
        The hole; its seat counts only where a member says so.
    columns
        Each `STEP` mm, within `reach` of the axis.
    reach
        mm.
    """

    shape: ScrewShape
    columns: Columns
    reach: float

    @classmethod
    def of(cls, solid: Solid, shape: ScrewShape, driver: float) -> "ScrewSite":
        """Measure a solid; `driver` is the diameter that is to be free for the driver, mm."""
        return cls.of_mesh(solid.vertices, solid.triangles, shape, driver)

    @classmethod
    def of_mesh(cls, vertices: Floats, triangles: Indices, shape: ScrewShape, driver: float) -> "ScrewSite":
        """Measure a closed mesh, outward, mm, finished back on z = 0."""
        reach = max(shape.head_diameter, driver) / 2.0 + STEP
        if shape.axis[2] == 1.0:
            near = np.array([shape.x, shape.y])
            low, high = near - reach - STEP, near + reach + STEP
        else:
            ends = np.stack([shape.on_axis(-FAR_OUT), shape.on_axis(FAR_OUT)])
            low, high = ends.min(axis=0) - reach - STEP, ends.max(axis=0) + reach + STEP
        points, kept = near_part(vertices, triangles, low, high)
        grid = Grid.around(0.0, 0.0, reach, STEP)
        return cls(shape, columns(move_points(shape.to_axis, points), kept, grid), reach)

    @cached_property
    def radius(self) -> Floats:
        """Distance of each column from the axis."""
        x, y = self.columns.grid.places
        return np.hypot(x, y)

    @cached_property
    def head(self) -> Mask:
        """Columns under the head's pocket."""
        return np.asarray(self.radius <= self.shape.head_diameter / 2.0)

    @cached_property
    def _ring(self) -> Mask:
        """Columns under the countersink."""
        return np.asarray(self.head & (self.radius >= self.shape.hole_diameter / 2.0))

    @cached_property
    def _carried(self) -> Mask:
        """Columns under the countersink that have material."""
        return np.asarray(self._ring & ~np.isnan(self.low))

    @cached_property
    def low(self) -> Floats:
        """Underside of the first stretch of each column, not below the finished back; NaN for none."""
        x, y = self.columns.grid.places
        normal = self.shape.from_axis[2, :3]
        back = -(x * normal[0] + y * normal[1]) / normal[2]
        return np.asarray(np.maximum(self.columns.first[0], back))

    @cached_property
    def high(self) -> Floats:
        """Top of the first stretch of each column; NaN for none."""
        return self.columns.first[1]

    @cached_property
    def lowest(self) -> Least:
        """The lowest surface over the head, as a height along the axis.

        Raises
        ------
        GeometryError
            When there is no material at all.
        """
        # Half a diagonal wider than the head, since the lowest place of its rim may lie between columns.
        over = self.radius <= self.shape.head_diameter / 2.0 + STEP / np.sqrt(2.0)
        tops = np.where(over & ~np.isnan(self.high), self.high, np.inf)
        if not np.isfinite(tops).any():
            raise GeometryError(
                f"There is no material for a screw at x {self.shape.x:.1f}, y {self.shape.y:.1f} mm; choose "
                "another place, or less tilt."
            )
        return self._least(tops)

    @cached_property
    def underside(self) -> float:
        """Highest underside below the countersink, as a height along the axis."""
        return float(self.low[self._carried].max()) if self._carried.any() else 0.0

    def seated(self, rule: HeadRule) -> ScrewShape:
        """Give the hole with its countersink where a rule wants it.

        Raises
        ------
        GeometryError
            When the hold is too thin there to sink the head.
        """
        shape, room = self.shape, self.lowest.value - self.underside
        if not self._carried.any():
            raise GeometryError(
                f"The hold at x {shape.x:.1f}, y {shape.y:.1f} mm is no wider than the screw's hole, so that "
                "nothing would carry its head; choose another place, or a smaller screw."
            )
        seat = min(self.lowest.value - rule.below - shape.cone_height, self.underside + rule.most)
        if seat < self.underside + LEAST:
            raise GeometryError(
                f"The hold is only {max(room, 0.0):.1f} mm thick where a screw at x {shape.x:.1f}, "
                f"y {shape.y:.1f} mm has its head, and its countersink takes "
                f"{shape.cone_height + rule.below:.1f} mm; choose another place, or a smaller screw."
            )
        return replace(shape, seat=seat)

    def top(self) -> float:
        """Give the height the cutter goes up to: just out of the surface over the head."""
        over = (self.radius <= self.shape.head_diameter / 2.0 + STEP) & ~np.isnan(self.high)
        return float(self.high[over].max()) + BEYOND

    def tops(self, places: Floats) -> Floats:
        """Give the height of the surface at (n, 2) places in the hole's frame; NaN where there is none."""
        grid = self.columns.grid
        cell = np.rint((places - (grid.x, grid.y)) / grid.step).astype(int)
        cell = np.clip(cell, 0, (grid.columns - 1, grid.rows - 1))
        return np.asarray(self.high[cell[:, 1], cell[:, 0]])

    def under_head(self, seat: float) -> Least:
        """Least material between countersink and back."""
        under = np.where(self._carried, seat - self.low, np.inf)
        return self._least(under, shift=seat)

    def bare(self, mouth: float) -> Least:
        """Share of the countersink that has no material at its mouth, and where."""
        low, high = self.columns.at(mouth - 1e-6)
        bare = self._ring & (np.isnan(low) | np.isnan(high))
        share = float(bare.sum()) / float(self._ring.sum())
        if not bare.any():
            return Least(0.0, self.shape.on_axis(mouth))
        x, y = self.columns.grid.places
        middle = np.array([x[bare].mean(), y[bare].mean(), mouth])
        return Least(share, move_points(self.shape.from_axis, middle))

    def blocked(self, driver: float) -> Least | None:
        """Give how far above the surface over the head the hold is in the driver's way; None for nowhere."""
        free = (self.radius <= driver / 2.0).reshape(-1)
        start = self.top()
        over = free[self.columns.cell] & (self.columns.low > start)
        if not over.any():
            return None
        low, cell = self.columns.low[over], self.columns.cell[over]
        first = int(np.argmin(low))
        place = self._place(np.unravel_index(int(cell[first]), self.columns.grid.shape), float(low[first]))
        return Least(float(low[first]) - self.lowest.value, place)

    def on_grip(self) -> Least:
        """Share of the head's surface that faces up the wall, more than off it; and the middle of that."""
        dy, dx = np.gradient(self.high, STEP)
        normals = np.stack([-dx, -dy, np.ones_like(dx)], axis=-1) @ self.shape.from_axis[:3, :3].T
        normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
        gripped = self.head & (normals[..., 1] > np.maximum(normals[..., 2], UPWARD))
        if not gripped.any():
            return Least(0.0, self.lowest.place)
        x, y = self.columns.grid.places
        middle = np.array([x[gripped].mean(), y[gripped].mean(), self.high[gripped].mean()])
        share = float(gripped.sum()) / float(self.head.sum())
        return Least(share, move_points(self.shape.from_axis, middle))

    def _least(self, values: Floats, shift: float | None = None) -> Least:
        """Give the least of values over the grid; it lies at that height, or `shift` less it."""
        cell = np.unravel_index(int(np.argmin(values)), values.shape)
        value = float(values[cell])
        return Least(value, self._place(cell, value if shift is None else shift - value))

    def _place(self, cell: tuple[np.intp, ...], height: float) -> Floats:
        x, y = self.columns.grid.places
        return move_points(self.shape.from_axis, np.array([x[cell], y[cell], height]))
