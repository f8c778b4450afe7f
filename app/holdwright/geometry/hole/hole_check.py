"""What a bore meets: measured on the hold before the cut, for the cut as requested."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import HoleSite, Least
from holdwright.geometry.hole.hole_walls import BACK, SPACING, bore_walls
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.geometry.hole.seat import bolt_seat
from holdwright.geometry.measure.sections import along, outer, section, within
from holdwright.geometry.mesh.solid import Solid


@dataclass(frozen=True, eq=False)
class BoreFigures:
    """Figures of a bore, each measured when first asked for. Lengths in mm, places in the hold's frame.

    Attributes
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    site
        Its columns round the same axis.
    hole
        The bore, with its seat.
    edge
        Least distance from the foot to the outer edge of the back; negative off the base.
    deep
        See `wall_at_pocket`.
    """

    solid: Solid
    site: HoleSite
    hole: Hole
    edge: Least
    deep: float = 8.0

    @cached_property
    def thickness(self) -> Least:
        """Least thickness along the axis from seat to back, or to a hollow in it, under all of the ring.

        From columns `hole_site.STEP` apart.
        """
        low, _ = self.site.stretch(self.hole.seat - 1e-6)
        bearing = self.site.ring & ~np.isnan(low)
        if not bearing.any():
            return Least(0.0, self.hole.on_axis(self.hole.seat))
        height, place = self.site.under(low, bearing)
        return Least(self.hole.seat - height, place)

    @cached_property
    def seat_share(self) -> Least:
        """Share of the ring that has material under it at the seat, 0 to 1, and where it has none."""
        bare = self.site.bare(self.hole.seat)
        return Least(1.0 - bare.value, bare.place)

    @property
    def wall_at_bore(self) -> Least:
        """Least distance, square to the axis, from clearance hole to outside, from the seat to the back."""
        return self._walls[0]

    @property
    def wall_at_pocket(self) -> Least:
        """The same from the pocket: at the seat, and wherever the pocket is `deep` below its edge that way.

        Nearer to the edge the wall of any pocket in a slope runs out to nothing.
        """
        return self._walls[1]

    @cached_property
    def _walls(self) -> tuple[Least, Least]:
        return bore_walls(self.solid, self.site, self.hole, self.deep)

    @cached_property
    def lip_volume(self) -> Least:
        """Material above the first open air over the seat that the pocket cuts through, mm3, and where."""
        columns = self.site.columns
        beyond = (columns.low > self.hole.seat) & self.site.pocket.reshape(-1)[columns.cell]
        length = columns.high[beyond] - columns.low[beyond]
        if len(length) == 0:
            return Least(0.0, self.hole.on_axis(self.hole.seat))
        most = int(np.argmax(length))
        place = self.site.at_cell(int(columns.cell[beyond][most]), float(columns.low[beyond][most]))
        return Least(float(length.sum()) * columns.grid.step**2, place)

    @cached_property
    def lowest_edge(self) -> Least:
        """Lowest height of the surface over the pocket."""
        _, high = self.site.stretch(self.hole.seat - 1e-6)
        return self.site.least(np.where(self.site.pocket & ~np.isnan(high), high, np.inf))

    @cached_property
    def highest_edge(self) -> Least:
        """Highest of all that the pocket cuts through: a key reaches the head from there."""
        columns = self.site.columns
        over = np.where(self.site.pocket.reshape(-1)[columns.cell], columns.high, -np.inf)
        top = int(np.argmax(over))
        height = float(over[top])
        return Least(height, self.site.at_cell(int(columns.cell[top]), height))


def bore_share(solid: Solid, wanted: Wanted, x: float, y: float, cone_angle: float | None = None) -> float:
    """Measure a place as the bore itself is: the search looks from level to level and may miss a ledge.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    wanted
        What is required of the place.
    x, y
        The place, mm.
    cone_angle
        As of `Hole`.

    Returns
    -------
    float
        The least of thickness, walls and edge distance, each relative to what is required of it.

    Raises
    ------
    GeometryError
        When no bore can be measured there.
    """
    sizes = wanted.clearance_diameter, wanted.pocket_diameter, wanted.ring_diameter
    hole = Hole(x, y, 0.0, *sizes, cone_angle=cone_angle)
    site = HoleSite.of(solid.mesh, hole)
    hole = replace(hole, seat=bolt_seat(site, wanted.rule)[1])
    figures = BoreFigures(solid, site, hole, edge_distance(solid, x, y), wanted.wall)
    return min(
        figures.thickness.value / wanted.rule.under_seat,
        figures.wall_at_bore.value / wanted.wall,
        figures.wall_at_pocket.value / wanted.wall,
        figures.edge.value / wanted.edge,
    )


def edge_distance(solid: Solid, x: float, y: float, half_slot: Floats | None = None) -> Least:
    """Measure from a foot to the outer edge of the back; negative off the base, -inf without a base.

    Parameters
    ----------
    half_slot
        (2,) from the foot to where the axis can stand at one end of a slot: the least of all such places.
    """
    outlines = outer(section(solid, BACK))
    points = along(outlines, SPACING)
    if len(points) == 0:
        return Least(-np.inf, np.array([x, y, 0.0]))
    half = np.zeros(2) if half_slot is None else half_slot
    away = points - [x, y]
    if half.any():
        share = np.clip(away @ half / (half @ half), -1.0, 1.0)
        away = away - share[:, None] * half
    distance = np.hypot(away[:, 0], away[:, 1])
    nearest = int(np.argmin(distance))
    inside = all(within(x + side * half[0], y + side * half[1], outlines) for side in (-1.0, 1.0))
    sign = 1.0 if inside else -1.0
    return Least(sign * float(distance[nearest]), np.array([*points[nearest], 0.0]))


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
