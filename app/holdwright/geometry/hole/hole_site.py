"""The material round a hole's axis, as fine columns along it, before the cut; and how near the edge it is."""

from dataclasses import dataclass
from functools import cached_property
from weakref import WeakKeyDictionary

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.geometry.measure.sections import Outlines, along, outer, section, within
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

STEP = 0.5
"""Distance between columns, mm."""
BACK = 0.02
"""Height of the section that stands for the back's outline: just above it, mm."""
SPACING = 0.5
"""Distance between points along outlines, mm; errs by at most 0.01 mm."""
COLLAR = 1.0
"""Width of the ring just outside the pocket whose tops are taken for the pocket's edge, mm."""

_back_edges: WeakKeyDictionary[Solid, tuple[Outlines, Floats]] = WeakKeyDictionary()


@dataclass(frozen=True, eq=False)
class Least:
    """A least figure, mm, and the place (3,) on the hold where it is found."""

    value: float
    place: Floats


@dataclass(frozen=True, eq=False)
class HoleSite:
    """Columns over the pocket and round it, in the hole's frame."""

    hole: Hole
    """Its seat counts only where a member takes one."""
    columns: Columns
    """Each `STEP` mm, alike on all sides of the axis."""

    @classmethod
    def of(cls, surface: Mesh, hole: Hole, reach: float = 0.0) -> "HoleSite":
        """Measure a closed surface, mm, outward, finished back on z = 0.

        Parameters
        ----------
        reach
            How far from the axis at least, mm; a collar beyond the pocket by default.
        """
        reach = reach or hole.pocket_reach + COLLAR
        grid, side = Grid.around(0.0, 0.0, reach, STEP), reach + STEP
        if not hole.upright:
            near = surface.moved(hole.frame).near(np.full(2, -side), np.full(2, side))
            return cls(hole, columns(near, grid))
        # Moving the grid to the vertices saves moving all vertices to the grid.
        foot = np.array([hole.x, hole.y])
        near = surface.near(foot - side, foot + side)
        found = columns(near, Grid.around(hole.x, hole.y, reach, STEP))
        return cls(hole, Columns(grid, found.cell, found.low, found.high))

    @cached_property
    def radius(self) -> Floats:
        """Distance of each column from the axis, or from the middle line of a slot."""
        return self.hole.away(*self.columns.grid.places)

    @cached_property
    def back(self) -> Floats:
        """Height of the finished back on each column: 0 where the axis is upright, a slope otherwise."""
        x, y = self.columns.grid.places
        normal = self.hole.from_axis[2, :3]
        return np.asarray(-(x * normal[0] + y * normal[1]) / normal[2])

    @property
    def pocket(self) -> Mask:
        """Columns within the pocket."""
        return self.radius <= self.hole.pocket_radius

    @property
    def ring(self) -> Mask:
        """Columns under what presses on the seat."""
        return (self.radius >= self.hole.hole_radius) & (self.radius <= self.hole.ring_diameter / 2)

    @cached_property
    def low(self) -> Floats:
        """Underside of the first stretch of each column, not below the finished back; NaN for none."""
        return np.asarray(np.maximum(self.columns.first[0], self.back))

    @property
    def high(self) -> Floats:
        """Top of the first stretch of each column; NaN for none."""
        return self.columns.first[1]

    def stretch(self, height: float) -> tuple[Floats, Floats]:
        """Give underside (not below the finished back) and top of each column's material at `height`."""
        low, high = self.columns.at(height)
        return np.maximum(low, self.back), high

    def tops(self, places: Floats) -> Floats:
        """Give the height (n,) of the surface at (n, 2) places in the hole's frame; NaN beside the hold."""
        grid = self.columns.grid
        cell = np.rint((places - (grid.x, grid.y)) / grid.step).astype(int)
        column, row = np.clip(cell, 0, (grid.columns - 1, grid.rows - 1)).T
        return np.asarray(self.high[row, column])

    @cached_property
    def highest_back(self) -> tuple[float, Floats]:
        """Where the finished back comes nearest to the ring: height on the axis, and the place (2,)."""
        normal = self.hole.from_axis[2, :3]
        slope = -normal[:2] / normal[2]
        steep = float(np.linalg.norm(slope))
        if steep == 0.0:
            return 0.0, np.zeros(2)
        way = np.array(self.hole.slot_way)
        place = slope / steep * self.hole.ring_diameter / 2
        place += way * np.copysign(self.hole.slot / 2, way @ slope)
        return float(place @ slope), place

    def under(self, low: Floats, ring: Mask) -> tuple[float, Floats]:
        """Give the highest of the undersides `low` on columns `ring`: its height, and the place (3,).

        Where it is the back itself, sloping under a tilted axis, it is taken to the very edge of the ring.
        """
        cell = np.unravel_index(np.argmax(np.where(ring, low, -np.inf)), low.shape)
        height = float(low[cell])
        back, edge = self.highest_back
        if height <= self.back[cell] and back > height:
            return back, self.placed(float(edge[0]), float(edge[1]), back)
        return height, self.at_cell(cell, height)

    def bare(self, height: float) -> Least:
        """Share of the ring that has no material just below a height, 0 to 1, and the middle of that."""
        bare = self.ring & np.isnan(self.columns.at(height - 1e-6)[1])
        if not bare.any():
            return Least(0.0, self.hole.on_axis(height))
        return self.share(bare, self.ring, height)

    def share(self, part: Mask, whole: Mask, height: float) -> Least:
        """Share that a part has of the whole, and the middle of the part, at a height."""
        x, y = self.columns.grid.places
        share = float(part.sum()) / float(whole.sum())
        return Least(share, self.placed(x[part].mean(), y[part].mean(), height))

    def least(self, values: Floats) -> Least:
        """Give the least of heights over the grid."""
        cell = np.unravel_index(int(np.argmin(values)), values.shape)
        return Least(float(values[cell]), self.at_cell(cell, float(values[cell])))

    def at_cell(self, cell: tuple[np.intp, ...] | int, height: float) -> Floats:
        """Give the place (3,) at a height on a column, by its indices or its number."""
        if isinstance(cell, int):
            cell = np.unravel_index(cell, self.columns.grid.shape)
        x, y = self.columns.grid.places
        return self.placed(x[cell], y[cell], height)

    def placed(self, x: float, y: float, height: float) -> Floats:
        """Give a place (3,) in the hole's frame as it is in the hold's."""
        return move_points(self.hole.from_axis, np.array([x, y, height]))


def edge_distance(solid: Solid, x: float, y: float, half_slot: Floats | None = None) -> Least:
    """Measure from a foot to the outer edge of the back; negative off the base, -inf without a base.

    Parameters
    ----------
    half_slot
        (2,) from the foot to where the axis can stand at one end of a slot: the least of all such places.
    """
    outlines, points = _back_edge(solid)
    if len(points) == 0:
        return Least(-np.inf, np.array([x, y, 0.0]))
    half = np.zeros(2) if half_slot is None else half_slot
    distance = to_segment(points - [x, y], half)
    nearest = int(np.argmin(distance))
    inside = all(within(x + side * half[0], y + side * half[1], outlines) for side in (-1.0, 1.0))
    sign = 1.0 if inside else -1.0
    return Least(sign * float(distance[nearest]), np.array([*points[nearest], 0.0]))


def _back_edge(solid: Solid) -> tuple[Outlines, Floats]:
    """Give the outer outlines of a solid's back and points (n, 2) along them, mm, found once for a solid."""
    if solid not in _back_edges:
        outlines = outer(section(solid, BACK))
        _back_edges[solid] = outlines, along(outlines, SPACING)
    return _back_edges[solid]


def to_segment(places: Floats, half: Floats) -> Floats:
    """Distance (n,) of places (n, 2) from a segment through the origin, by its half (2,)."""
    square = float(half @ half)
    share = np.clip(places @ half / square, -1.0, 1.0) if square > 0.0 else np.zeros(len(places))
    return np.asarray(np.linalg.norm(places - share[:, None] * half, axis=1))


def on_back(solid: Solid, x: float, y: float) -> tuple[float, float]:
    """Give a place as it is where it lies on the back, else the middle of the back's nearest triangle, mm.

    A search over a grid takes its places beside a back that is narrower than the grid.
    """
    if not np.isfinite(edge := edge_distance(solid, x, y).value) or edge >= 0.0:
        return x, y
    corners = solid.vertices[solid.triangles]
    middles = corners[(corners[:, :, 2] < BACK).all(axis=1)].mean(axis=1)[:, :2]
    if not len(middles):
        return x, y
    nearest = middles[np.argmin(np.hypot(*(middles - [x, y]).T))]
    return float(nearest[0]), float(nearest[1])
