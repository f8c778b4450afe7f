"""What a hole meets: measured on the hold before the cut, for the cut as requested."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import STEP, HoleSite, Least
from holdwright.geometry.hole.hole_walls import BACK, SPACING, bore_walls, screw_walls
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.geometry.hole.screw_search import ScrewWanted, Spot
from holdwright.geometry.hole.seat import bolt_seat, carried, lowest_over_head, screw_seated
from holdwright.geometry.measure.sections import along, outer, section, within
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

BEYOND = 1.0
"""How far a screw's cutter goes on above the highest surface over the head, mm."""

UPWARD = 0.5
"""Least upward part of the unit normal of what faces up the wall: within 60 degrees."""

CLIMB, FINEST_CLIMB = 1.0, 0.5
"""Longest and shortest step by which a place found for a screw is moved, mm."""

HOPELESS = 0.6
"""Least figure relative to what is required, below which a place is not worth moving."""

_COMPASS = tuple((float(np.cos(turn)), float(np.sin(turn))) for turn in np.arange(8) * (np.pi / 4.0))


@dataclass(frozen=True, eq=False)
class BoreFigures:
    """Figures of a bore. Lengths in mm, places in the hold's frame.

    Attributes
    ----------
    thickness
        Least thickness from the seat down to the finished back or to a hollow in it, under all of the ring,
        along the axis; from columns `hole_site.STEP` apart.
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


def measure_bore(solid: Solid, site: HoleSite, hole: Hole, edge: Least, deep: float = 8.0) -> BoreFigures:
    """Measure what a bore meets.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    site
        Its columns round the same axis.
    hole
        The bore, with its seat.
    edge
        As `edge_distance` gives it.
    deep
        See `BoreFigures.wall_at_pocket`.
    """
    low, high = site.stretch(hole.seat - 1e-6)
    bore_wall, pocket_wall = bore_walls(solid, site, hole, deep)
    bare = site.bare(hole.seat)
    over = np.where(site.pocket.reshape(-1)[site.columns.cell], site.columns.high, -np.inf)
    top = int(np.argmax(over))
    return BoreFigures(
        thickness=_thickness(site, hole, low),
        seat_share=Least(1.0 - bare.value, bare.place),
        wall_at_bore=bore_wall,
        wall_at_pocket=pocket_wall,
        edge=edge,
        lip_volume=_lip(site, hole),
        lowest_edge=site.least(np.where(site.pocket & ~np.isnan(high), high, np.inf)),
        highest_edge=Least(float(over[top]), site.at_cell(int(site.columns.cell[top]), float(over[top]))),
    )


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
    figures = measure_bore(solid, site, hole, edge_distance(solid, x, y), deep=wanted.wall)
    return min(
        figures.thickness.value / wanted.rule.under_seat,
        figures.wall_at_bore.value / wanted.wall,
        figures.wall_at_pocket.value / wanted.wall,
        figures.edge.value / wanted.edge,
    )


@dataclass(frozen=True, eq=False)
class ScrewFigures:
    """The figures of one screw hole, mm.

    Attributes
    ----------
    hole
        Seated.
    top
        Height along the axis that its cutter goes up to.
    under_head
        Least thickness between countersink and finished back.
    depth
        How far the countersink lies below the lowest surface over it.
    bare
        Share of the countersink without material at its mouth, 0 to 1.
    wall
        Least wall between the hole and the outside.
    edge
        From the axis to the edge of the back; negative off it.
    bores, screws
        Walls to each bore and each other screw hole.
    tips
        From the rim of the head to the rim of each cut tip.
    blocked
        How far above the head's surface the hold is in the driver's way; None for nowhere.
    on_grip
        Share of the head's surface that faces up the wall more than off it, and where.
    """

    hole: Hole
    top: float
    under_head: Least
    depth: Least
    bare: Least
    wall: Least
    edge: Least
    bores: tuple[Least, ...]
    screws: tuple[Least, ...]
    tips: tuple[Least, ...]
    blocked: Least | None
    on_grip: Least

    def margin(self, wanted: ScrewWanted) -> float:
        """Give the least of all figures relative to what is required: from 1 up all is well."""
        walls = (self.wall, *self.bores, *self.screws, *self.tips)
        ratios = [
            self.under_head.value / wanted.under_head,
            self.edge.value / wanted.edge,
            *(wall.value / wanted.wall for wall in walls),
        ]
        least = min(ratios) + 1e-9 - self.bare.value
        return least if self.blocked is None else min(least, 0.0) - 1.0


def screw_site(surface: Mesh, hole: Hole, driver: float) -> HoleSite:
    """Measure the columns round a screw; `driver` is the diameter that is to be free for the driver, mm."""
    return HoleSite.of(surface, hole, max(hole.pocket_diameter, driver) / 2.0 + STEP)


def under_head(site: HoleSite, seat: float) -> Least:
    """Measure the least material between a seated countersink and the back."""
    low = np.where(carried(site), site.low, -np.inf)
    cell = int(np.argmax(low))
    height = float(low.flat[cell])
    return Least(seat - height, site.at_cell(cell, height))


def measure_screw(
    solid: Solid,
    hole: Hole,
    wanted: ScrewWanted,
    bores: Sequence[Hole] = (),
    screws: Sequence[Hole] = (),
    tips: Sequence[Spot] = (),
) -> ScrewFigures:
    """Seat a screw by its rule and measure what it meets.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    bores, screws
        Holes already in the hold.
    tips
        Cut tips.

    Raises
    ------
    GeometryError
        When there is no room for a countersink.
    """
    site = screw_site(solid.mesh, hole, wanted.driver)
    hole, lowest = screw_seated(site, wanted.rule), lowest_over_head(site)
    over = (site.radius <= hole.pocket_radius + STEP) & ~np.isnan(site.high)
    out = float(site.high[over].max()) + BEYOND
    top = max(out, hole.mouth + wanted.rule.below + BEYOND)
    outside, holes = screw_walls(solid, hole, lowest.value, top, (*bores, *screws), wanted.wall)
    return ScrewFigures(
        hole=hole,
        top=top,
        under_head=under_head(site, hole.seat),
        depth=Least(lowest.value - hole.mouth, hole.on_axis(hole.mouth)),
        bare=site.bare(hole.mouth),
        wall=outside,
        edge=edge_distance(solid, hole.x, hole.y),
        bores=holes[: len(bores)],
        screws=holes[len(bores) :],
        tips=tuple(_to_tip(hole, np.array(place), radius) for place, radius in tips),
        blocked=_blocked(site, wanted.driver, out, lowest.value),
        on_grip=_on_grip(site, lowest),
    )


def climbed(
    place: tuple[float, float], measured: Callable[[float, float], ScrewFigures], wanted: ScrewWanted
) -> ScrewFigures | None:
    """Move a place found on a grid a little, until all there is as required or it gets no better.

    Parameters
    ----------
    place
        (x, y) to start from, mm.
    measured
        Measures a place; may raise GeometryError where there is no room.

    Returns
    -------
    ScrewFigures or None
        None where there is no room at all.
    """
    best = _tried(measured, *place)
    step = CLIMB
    if best is not None and best.margin(wanted) < HOPELESS:
        return best
    while best is not None and best.margin(wanted) < 1.0 and step >= FINEST_CLIMB:
        x, y = best.hole.x, best.hole.y
        around = [_tried(measured, x + step * c, y + step * s) for c, s in _COMPASS]
        better = max((each for each in around if each), key=lambda each: each.margin(wanted), default=best)
        if better.margin(wanted) > best.margin(wanted) + 1e-6:
            best = better
        else:
            step /= 2.0
    return best


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


def _thickness(site: HoleSite, hole: Hole, low: Floats) -> Least:
    bearing = site.ring & ~np.isnan(low)
    if not bearing.any():
        return Least(0.0, hole.on_axis(hole.seat))
    height, place = site.under(low, bearing)
    return Least(hole.seat - height, place)


def _lip(site: HoleSite, hole: Hole) -> Least:
    columns = site.columns
    beyond = (columns.low > hole.seat) & site.pocket.reshape(-1)[columns.cell]
    length = columns.high[beyond] - columns.low[beyond]
    if len(length) == 0:
        return Least(0.0, hole.on_axis(hole.seat))
    most = int(np.argmax(length))
    place = site.at_cell(int(columns.cell[beyond][most]), float(columns.low[beyond][most]))
    return Least(float(length.sum()) * columns.grid.step**2, place)


def _blocked(site: HoleSite, driver: float, start: float, lowest: float) -> Least | None:
    """Tell how far above the lowest surface over the head the driver is blocked; None for nowhere."""
    free, columns = (site.radius <= driver / 2.0).reshape(-1), site.columns
    over = free[columns.cell] & (columns.low > start)
    if not over.any():
        return None
    first = int(np.argmin(np.where(over, columns.low, np.inf)))
    height = float(columns.low[first])
    return Least(height - lowest, site.at_cell(int(columns.cell[first]), height))


def _on_grip(site: HoleSite, lowest: Least) -> Least:
    """Share of the head's surface that faces up the wall, more than off it; and the middle of that."""
    dy, dx = np.gradient(site.high, STEP)
    normals = np.stack([-dx, -dy, np.ones_like(dx)], axis=-1) @ site.hole.from_axis[:3, :3].T
    normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
    gripped = site.pocket & (normals[..., 1] > np.maximum(normals[..., 2], UPWARD))
    if not gripped.any():
        return Least(0.0, lowest.place)
    x, y = site.columns.grid.places
    share = float(gripped.sum()) / float(site.pocket.sum())
    return Least(share, site.placed(x[gripped].mean(), y[gripped].mean(), site.high[gripped].mean()))


def _to_tip(hole: Hole, place: Floats, radius: float) -> Least:
    """Distance from the rim of the head's pocket to the rim of a cut tip."""
    height = float((place - hole.foot) @ np.array(hole.axis))
    away = float(np.linalg.norm(place - hole.on_axis(max(height, hole.mouth))))
    return Least(away - hole.pocket_radius - radius, place)


def _tried(measured: Callable[[float, float], ScrewFigures], x: float, y: float) -> ScrewFigures | None:
    try:
        return measured(round(x, 2), round(y, 2))
    except GeometryError:
        return None
