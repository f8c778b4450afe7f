"""Where a hold touches its wall, seen from its bolts."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import ConvexHull

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import along, section
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import joined
from holdwright.joint.outline import Outlines, inside, moments
from holdwright.joint.pressure import Cone, Pressure, settle

HEIGHT = 0.02
"""Height of the section that stands for the contact, mm: as for a bore's edge distance."""

SCREW_NEAR, SCREW_FAR = 20.0, 40.0
"""Distances from the bolt between which a wood screw goes, mm: common practice, no source."""

SCREW_EDGE = 10.0
"""Least distance of a wood screw from the edge of the contact, mm: common practice, no source."""

_GRID = 2.0


@dataclass(frozen=True, eq=False)
class Footing:
    """What the statics of a footing need of a contact. Lengths in mm, origin as of its outlines."""

    outlines: tuple[Floats, ...]
    """Of what touches: bores, hollows and relief are holes in it."""
    area: float
    """mm2."""
    centre: Floats
    """(2,) centroid."""
    spread: Floats
    """(2, 2) second moments about the centroid by area, mm2."""
    hull: Floats
    """(k, 2) corners of its convex hull."""

    @cached_property
    def leverage(self) -> Floats:
        """(2, k) J^-1 (v - c), 1 / mm: an eccentric force changes the pressure at the corners by this."""
        return np.asarray(np.linalg.solve(self.spread, (self.hull - self.centre).T), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Contact(Footing):
    """A hold's contact with the wall, origin at the middle of the bolts."""

    cones: tuple[Cone, ...]
    """Of the bolts."""
    screw_place: Floats | None
    """(2,) the place farthest from the bolts, within practice, where a wood screw has room; None where
    none."""

    @cached_property
    def pressure(self) -> Pressure:
        """Under the cones of the bolts; a `GeometryError` where the contact does not surround them."""
        return settle(self.outlines, self.cones)


def contact_of(
    solid: Solid, middle: Floats, cones: Sequence[Cone], room: float, pocket: Outlines = ()
) -> Contact:
    """Find the contact of a finished hold.

    Parameters
    ----------
    solid
        The bored hold, finished back on z = 0.
    middle
        (2,) middle of the bolts.
    cones
        Of the bolts, origin at their middle.
    room
        Distance from the bolts that a wood screw must keep, mm.
    pocket
        Outlines that relieve the back: a wood screw may go there, since it gets a land of its own.

    Raises
    ------
    GeometryError
        When nothing touches the wall, or the contact does not surround the bolts.
    """
    back, relieved = ([each - middle for each in part] for part in (back_outlines(solid), pocket))
    return contact_within(back, cones, room, relieved)


def back_outlines(solid: Solid) -> list[Floats]:
    """Outlines (n, 2) of a hold's back on z = 0, mm; a `GeometryError` where it has none."""
    outlines = section(solid, HEIGHT)
    if not outlines:
        raise GeometryError(
            "The hold has no flat back on z = 0 that could touch a wall; trim its back first."
        )
    return outlines


def footing_within(outlines: Outlines) -> Footing:
    """Measure what closed outlines (n, 2) enclose."""
    whole = moments(outlines)
    centre = whole.first / whole.area
    spread = whole.second / whole.area - np.outer(centre, centre)
    points = np.concatenate(list(outlines))
    return Footing(tuple(outlines), whole.area, centre, spread, points[ConvexHull(points).vertices])


def contact_within(outlines: Outlines, cones: Sequence[Cone], room: float, pocket: Outlines = ()) -> Contact:
    """Measure the contact within closed outlines (n, 2), origin at the middle of the bolts."""
    ground = joined(outlines, pocket) if pocket else outlines
    return Contact(
        **vars(footing_within(outlines)),
        cones=tuple(cones),
        screw_place=_screw_place(ground, max(room, SCREW_NEAR)),
    )


def _screw_place(outlines: Outlines, near: float) -> Floats | None:
    """Search a grid round the bolts; of equally far places the highest on the wall is taken."""
    line = np.arange(-SCREW_FAR, SCREW_FAR + _GRID / 2, _GRID)
    x, y = (each.reshape(-1) for each in np.meshgrid(line, line))
    distance = np.hypot(x, y)
    within = (distance >= near) & (distance <= SCREW_FAR)
    places = np.stack([x, y], axis=1)[within]
    places = places[inside(places, outlines)]
    if not len(places):
        return None
    edge = along(list(outlines), _GRID)
    apart = np.array([np.hypot(*(edge - place).T).min() for place in places])
    places = places[apart >= SCREW_EDGE]
    if not len(places):
        return None
    return np.asarray(places[np.lexsort((places[:, 1], np.hypot(*places.T).round(6)))[-1]])
