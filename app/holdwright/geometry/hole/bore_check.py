"""What a bore meets: measured on the hold before the cut, for the cut as asked."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_site import BoreSite
from holdwright.geometry.hole.bore_walls import BACK, SPACING, Least, walls
from holdwright.geometry.measure.sections import along, outer, section, within
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid


@dataclass(frozen=True, eq=False)
class BoreFigures:
    """Figures of a bore. Lengths in mm, places in the hold's frame.

    Attributes
    ----------
    thickness
        Least thickness from the seat down to the finished back or to a hollow in it, under all of the ring,
        along the axis; from columns `bore_site.STEP` apart.
    seat_share
        Share of the ring that has material under it at the seat, 0 to 1, and where it has none.
    wall_at_bore
        Least distance, square to the axis, from the clearance hole to the outside, from the seat down to the
        back.
    wall_at_pocket
        The same from the pocket: at the seat, and above it wherever the pocket is at least `deep` below its
        edge in that direction (nearer to the edge the wall of any pocket in a slope runs out to nothing).
    edge
        Least distance from the foot to the outer edge of the back; negative off the base.
    lip_volume
        Material above the first open air over the seat that the pocket cuts through, mm3, and where.
    lowest_edge
        Lowest height of the surface over the pocket.
    highest_edge
        Highest of all that the pocket cuts through: a key reaches the head from there.
    """

    thickness: Least
    seat_share: Least
    wall_at_bore: Least
    wall_at_pocket: Least
    edge: Least
    lip_volume: Least
    lowest_edge: Least
    highest_edge: Least


def measure_bore(
    solid: Solid, site: BoreSite, shape: BoreShape, edge: Least, deep: float = 8.0
) -> BoreFigures:
    """Measure what a bore meets.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    site
        Its columns round the same axis.
    shape
        The bore, with its seat.
    edge
        As `edge_distance` tells it.
    deep
        See `BoreFigures.wall_at_pocket`.
    """
    back = site.from_bore
    low, high = site.stretch(shape.seat - 1e-6)
    met = ~np.isnan(high)
    bore_wall, pocket_wall = walls(solid, site, shape, deep)
    return BoreFigures(
        thickness=_thickness(site, shape, low, met, back),
        seat_share=_seat_share(site, shape, met, back),
        wall_at_bore=bore_wall,
        wall_at_pocket=pocket_wall,
        edge=edge,
        lip_volume=_lip(site, shape, back),
        lowest_edge=_lowest_edge(site, high, back),
        highest_edge=_highest_edge(site, back),
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


def _thickness(site: BoreSite, shape: BoreShape, low: Floats, met: Mask, back: Floats) -> Least:
    carried = site.ring & met
    if not carried.any():
        return Least(0.0, move_points(back, np.array([0.0, 0.0, shape.seat])))
    height, place = site.under(low, carried)
    return Least(shape.seat - height, move_points(back, place))


def _seat_share(site: BoreSite, shape: BoreShape, met: Mask, back: Floats) -> Least:
    bare = site.ring & ~met
    share = 1.0 - float(bare.sum()) / float(site.ring.sum())
    if not bare.any():
        return Least(share, move_points(back, np.array([0.0, 0.0, shape.seat])))
    x, y = site.columns.grid.places
    middle = np.array([x[bare].mean(), y[bare].mean(), shape.seat])
    return Least(share, move_points(back, middle))


def _lip(site: BoreSite, shape: BoreShape, back: Floats) -> Least:
    columns = site.columns
    beyond = (columns.low > shape.seat) & site.pocket.reshape(-1)[columns.cell]
    length = columns.high[beyond] - columns.low[beyond]
    if len(length) == 0:
        return Least(0.0, move_points(back, np.array([0.0, 0.0, shape.seat])))
    most = int(np.argmax(length))
    cell = np.unravel_index(int(columns.cell[beyond][most]), columns.grid.shape)
    volume = float(length.sum()) * columns.grid.step**2
    return Least(volume, _place(site, cell, float(columns.low[beyond][most]), back))


def _lowest_edge(site: BoreSite, high: Floats, back: Floats) -> Least:
    beside = np.where(site.pocket & ~np.isnan(high), high, np.inf)
    cell = np.unravel_index(np.argmin(beside), beside.shape)
    return Least(float(beside[cell]), _place(site, cell, float(beside[cell]), back))


def _highest_edge(site: BoreSite, back: Floats) -> Least:
    columns = site.columns
    over = np.where(site.pocket.reshape(-1)[columns.cell], columns.high, -np.inf)
    most = int(np.argmax(over))
    cell = np.unravel_index(int(columns.cell[most]), columns.grid.shape)
    return Least(float(over[most]), _place(site, cell, float(over[most]), back))


def _place(site: BoreSite, cell: tuple[np.intp, ...], height: float, back: Floats) -> Floats:
    x, y = site.columns.grid.places
    return move_points(back, np.array([x[cell], y[cell], height]))
