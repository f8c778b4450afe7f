"""Finding the pointed places of a solid: tips, and the sharp edges that are no tips.

A tip is where the surface is as pointed as a cone, and soon no longer so in every direction round about. On a
sharp edge it stays sharp in two directions; where a sharp edge merely ends square, the ball is half as full
as along the edge. So a place counts as a tip when no sharp edge leads away from it, or the ball there holds
clearly less than half of what it holds along that edge, or all round about is equally thin, as on a needle.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips.apex import Apex, Closeup
from holdwright.geometry.tips.ball_fraction import cone_angle, cone_fraction, fraction_field, least_spacing
from holdwright.geometry.tips.neighbourhood import Around
from holdwright.geometry.tips.surface_blocks import PartedSurface
from holdwright.geometry.tips.surface_cells import Region, SurfaceFractions, points_on

TURN = math.radians(31.7)
"""The lattice is turned about z by this, so that walls along x and y, common in a hold, are not along it."""

LOOSE = 1.25
"""A place may look this much fuller on the coarse lattice and still be looked at closely."""

COARSEST = 0.5
"""A hold so large that the lattice would be coarser than this many radii of the ball is searched in parts."""

CLEARLY = 0.92
"""An edge is reported when its fraction, measured on the coarse lattice, is this far below the limit."""


@dataclass(frozen=True, eq=False)
class Tip:
    """A pointed place."""

    place: Floats
    """(3,) mm: its apex, a vertex of the solid."""
    axis: Floats
    """(3,) unit vector along which it points."""
    angle: float
    """Full apex angle of the cone that would be as sharp, degrees."""
    ball_fraction: float
    """Fraction of the ball round the apex that is solid."""
    low: bool
    """Whether the apex is within the low height of the back."""


@dataclass(frozen=True, eq=False)
class SharpEdge:
    """A place as sharp as a tip that is none: a ridge, or the square end of one."""

    place: Floats
    """(3,) mm, on its sharpest stretch."""
    length: float
    """Its extent, mm."""
    angle: float
    """Full apex angle of the cone that would be as sharp at its sharpest place, degrees."""


class TipSearch:
    """Looks for tips on one solid; measured once, asked several times.

    Parameters
    ----------
    solid
        mm. z points away from the wall.
    ball
        Radius of the ball whose fraction is measured, mm: the size below which detail does not count.
    back
        Height of the wall: the solid counts as going on into it, so that the rim's edge at the wall is never
        a tip. None for a solid in free space.
    low_height
        Tips whose apex is no higher than this above the back are `low`, mm.
    """

    def __init__(
        self, solid: Solid, ball: float = 4.0, back: float | None = 0.0, low_height: float = 25.0
    ) -> None:
        cosine, sine = math.cos(TURN), math.sin(TURN)
        self._turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
        self._back = back
        self._low_height = low_height
        surface = Mesh(solid.vertices @ self._turn.T, solid.triangles)
        self._ball = ball
        self._whole: SurfaceFractions | None = None
        self._parted = PartedSurface(surface, ball, back)
        self._parts: tuple[float, list[SurfaceFractions], float] = (math.nan, [], 0.0)
        if least_spacing(surface.bounds[0], surface.bounds[1], ball) <= COARSEST * ball:
            field = fraction_field(surface, ball, back)
            points = np.concatenate([surface.vertices, points_on(surface.corners, field.lattice.spacing)])
            self._whole = SurfaceFractions(field, points, back)
        self._closeup = Closeup(surface, ball, back)

    def found(self, limit: float = 90.0) -> tuple[tuple[Tip, ...], tuple[SharpEdge, ...]]:
        """Give all tips sharper than a cone of `limit` degrees, from the back upward, and all sharp edges."""
        most = cone_fraction(limit)
        regions = [region for part in self._searched(most)[0] for region in part.regions(most * LOOSE)]
        apexes = self._apexes(regions, most)
        places = [apex.place for apex in apexes]
        edges = [
            SharpEdge(place @ self._turn, length, cone_angle(fraction))
            for region in regions
            for place, length, fraction in region.rest(places, most * CLEARLY)
        ]
        edges.sort(key=lambda edge: (-round(edge.length, 1), *edge.place))
        return _ordered([self._tip(apex) for apex in apexes]), tuple(edges)

    def near(self, point: Floats) -> Tip:
        """Give the tip at a picked place (3,) mm, however blunt: the most pointed place close by."""
        place = point @ self._turn.T
        surface = self._parted.near(place) if self._whole is None else self._whole
        return self._tip(self._closeup.climb(surface.sharpest_near(place)))

    def left_out(self, limit: float = 90.0) -> float:
        """Give the fraction of what may hold a tip that was too much to be looked at, 0 to 1."""
        return self._searched(cone_fraction(limit))[1]

    def _searched(self, most: float) -> tuple[list[SurfaceFractions], float]:
        """Measure, once for each limit, all that may hold a fraction below `most`."""
        if self._whole is not None:
            return [self._whole], 0.0
        if self._parts[0] != most:
            self._parts = (most, *self._parted.parts(most * LOOSE))
        return self._parts[1:]

    def _apexes(self, regions: list[Region], most: float) -> list[Apex]:
        """Find the tips of all regions, each once."""
        apexes: list[Apex] = []
        for start, around in (each for region in regions for each in region.candidates()):
            apex = self._closeup.climb(start)
            nearest = min(
                (float(np.linalg.norm(apex.place - each.place)) for each in apexes), default=math.inf
            )
            if nearest > self._ball / 2 and apex.ball_fraction < most and self._is_tip(apex, around):
                apexes.append(apex)
        return apexes

    def _is_tip(self, apex: Apex, around: Around) -> bool:
        """Judge by the sharpest edge that leads away, measured as closely as the apex."""
        if around.along < 1.0:
            around = replace(around, along=self._closeup.measure(around.edge)[0])
        return around.is_tip(apex.ball_fraction)

    def _tip(self, apex: Apex) -> Tip:
        low = self._back is not None and float(apex.place[2]) - self._back <= self._low_height
        place, axis = apex.place @ self._turn, apex.axis @ self._turn
        return Tip(place, axis, cone_angle(apex.ball_fraction), apex.ball_fraction, low)


def _ordered(tips: list[Tip]) -> tuple[Tip, ...]:
    """Order tips by height, and at one height by where they stand round the z axis."""
    return tuple(
        sorted(tips, key=lambda tip: (round(float(tip.place[2]), 2), math.atan2(tip.place[1], tip.place[0])))
    )
