"""What a screw hole meets: all that it is judged by, measured exactly."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_check import edge_distance
from holdwright.geometry.hole.bore_walls import Least
from holdwright.geometry.hole.screw_hole import ScrewShape
from holdwright.geometry.hole.screw_search import ScrewWanted, Spot
from holdwright.geometry.hole.screw_site import BEYOND, ScrewSite
from holdwright.geometry.hole.screw_walls import screw_walls
from holdwright.geometry.measure.grip_surface import Column
from holdwright.geometry.mesh.solid import Solid

CLIMB, FINEST_CLIMB = 1.0, 0.5
"""Longest and shortest step by which a place found is moved, mm."""

HOPELESS = 0.6
"""Least figure relative to what is wanted, below which a place is not worth moving."""

_COMPASS = tuple((float(np.cos(turn)), float(np.sin(turn))) for turn in np.arange(8) * (np.pi / 4.0))


@dataclass(frozen=True, eq=False)
class ScrewFigures:
    """The figures of one screw hole, mm.

    Attributes
    ----------
    shape
        The hole, seated.
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

    shape: ScrewShape
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
        """Give the least of all figures relative to what is wanted: from 1 up all is well."""
        walls = (self.wall, *self.bores, *self.screws, *self.tips)
        ratios = [
            self.under_head.value / wanted.under_head,
            self.edge.value / wanted.edge,
            *(wall.value / wanted.wall for wall in walls),
        ]
        least = min(ratios) + 1e-9 - self.bare.value
        return least if self.blocked is None else min(least, 0.0) - 1.0


def measure_screw(
    solid: Solid,
    site: ScrewSite,
    wanted: ScrewWanted,
    bores: Sequence[Column] = (),
    screws: Sequence[Column] = (),
    tips: Sequence[Spot] = (),
) -> ScrewFigures:
    """Seat a screw by its rule and measure what it meets.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    site
        Its columns round the screw's axis.
    bores, screws
        Holes already there.
    tips
        Cut tips.

    Raises
    ------
    GeometryError
        When there is no room for a countersink.
    """
    shape = site.seated(wanted.rule)
    top = max(site.top(), shape.mouth + wanted.rule.below + BEYOND)
    walls = screw_walls(solid, shape, site.lowest.value, top, (*bores, *screws), wanted.wall)
    return ScrewFigures(
        shape=shape,
        top=top,
        under_head=site.under_head(shape.seat),
        depth=Least(site.lowest.value - shape.mouth, shape.on_axis(shape.mouth)),
        bare=site.bare(shape.mouth),
        wall=walls.outside,
        edge=edge_distance(solid, shape.x, shape.y),
        bores=walls.holes[: len(bores)],
        screws=walls.holes[len(bores) :],
        tips=tuple(_to_tip(shape, np.array(place), radius) for place, radius in tips),
        blocked=site.blocked(wanted.driver),
        on_grip=site.on_grip(),
    )


def _to_tip(shape: ScrewShape, place: Floats, radius: float) -> Least:
    """Distance from the rim of the head's pocket to the rim of a cut tip."""
    height = float((place - shape.foot) @ np.array(shape.axis))
    away = float(np.linalg.norm(place - shape.on_axis(max(height, shape.mouth))))
    return Least(away - shape.head_diameter / 2.0 - radius, place)


def climbed(
    place: tuple[float, float], measured: Callable[[float, float], ScrewFigures], wanted: ScrewWanted
) -> ScrewFigures | None:
    """Move a place found on a grid a little, until all there is as wanted or it gets no better.

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
        x, y = best.shape.x, best.shape.y
        around = [_tried(measured, x + step * c, y + step * s) for c, s in _COMPASS]
        better = max((each for each in around if each), key=lambda each: each.margin(wanted), default=best)
        if better.margin(wanted) > best.margin(wanted) + 1e-6:
            best = better
        else:
            step /= 2.0
    return best


def _tried(measured: Callable[[float, float], ScrewFigures], x: float, y: float) -> ScrewFigures | None:
    try:
        return measured(round(x, 2), round(y, 2))
    except GeometryError:
        return None
