"""Choosing a core that holds the bolt and stays inside the hold."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.clearance import Clearance, ClearanceQuery
from holdwright.geometry.mesh.circle import SEGMENTS, circle_points
from holdwright.geometry.mesh.frustum import Frustum, turn_to

COLUMN_TO_POCKET = 1.5
"""Diameter of the solid column in pocket diameters. Common practice, no source: 1.5 washer diameters."""

TAPERS = (10.0, 5.0, 0.0)
"""Degrees from the axis that an automatic core widens by towards the wall, first choice first. Our choice."""

_LEDGE = 1.0
"""mm that a core standing within its pocket's outline stays inside it."""

_LEVELS = 16
"""Heights at which a pocket's wall is looked at."""

_RINGS, _UNDER = 64, 0.01
"""Circles of points that stand for a washer, and how far below the seat they are looked at, mm."""

_LEAST_REACH = 1.0
"""mm round a core within which the surface is looked for, however thin a shell may be."""


@dataclass(frozen=True)
class CoreRequest:
    """What a core should be like, mm. A diameter of 0 is for us to choose."""

    wall_diameter: float = 0.0
    top_diameter: float = 0.0
    above_seat: float = 1.0
    clear_of_pocket: float = 6.0
    least_shell: float = 6.0


@dataclass(frozen=True)
class Fit:
    """A core chosen."""

    frustum: Frustum
    """Its outline."""
    to_rim: Clearance
    to_grip: Clearance
    """to_rim, to_grip: where the rim and the surface above it come nearest to it; infinitely far where that
    is farther than the least shell required."""
    first_choice: Frustum
    """The core that would have been chosen with room to spare; the same frustum if there was room."""

    @property
    def shell(self) -> float:
        """Least thickness of shell round the core, mm; negative where the core pierces it."""
        return min(self.to_rim.distance, self.to_grip.distance)


def fit_core(column: Hole, request: CoreRequest, surface: HoldSurface) -> Fit:
    """Take the first candidate that leaves `request.least_shell` of shell, else the one that leaves most.

    All candidates lie within the first, so that only the surface near the first matters. Bounds from
    the vertices alone leave few candidates to be looked at closely.
    """
    bottom = min(float(surface.mesh.vertices[:, 2].min()), 0.0)
    reach = max(request.least_shell, _LEAST_REACH)
    cores = list(candidates(column, request, bottom))
    low, high = cores[0].bounds
    near = surface.near(low - reach, high + reach)
    rim, above = (ClearanceQuery(part) for part in near.grip())
    at_most = {frustum: min(rim.at_most(frustum), above.at_most(frustum)) for frustum in cores}
    fits: list[Fit] = []
    for frustum in sorted(cores, key=lambda frustum: -min(at_most[frustum], request.least_shell)):
        if at_most[frustum] <= max((fit.shell for fit in fits), default=-np.inf):
            break
        fits.append(Fit(frustum, rim.nearest_to(frustum, reach), above.nearest_to(frustum, reach), cores[0]))
        if fits[-1].shell >= request.least_shell:
            return fits[-1]
    return max(fits, key=lambda fit: fit.shell)


def candidates(column: Hole, request: CoreRequest, bottom: float) -> Iterator[Frustum]:
    """Give the cores that meet a request, best first.

    A core either leaves a ring of at least `clear_of_pocket` round the pocket and ends `above_seat` above the
    seat, or stands within the pocket's outline and ends at the seat: never a thin ring. Only a top
    diameter that the recipe sets is taken as it is.
    """
    pocket = 2.0 * column.pocket_reach
    around = max(COLUMN_TO_POCKET * pocket, pocket + 2.0 * request.clear_of_pocket)
    top = column.seat + request.above_seat
    wall = request.wall_diameter
    if request.top_diameter > 0.0:
        walls = [wall] if wall > 0.0 else [_widened(request.top_diameter, top, taper) for taper in TAPERS]
        yield from (_frustum(column, wall, request.top_diameter, top, bottom) for wall in walls)
    elif pocket == 0.0:
        narrowed = _widened(wall, top, -TAPERS[0])
        yield _frustum(column, wall, max(narrowed, wall / 2.0), top, bottom)
    elif wall > 0.0:
        if wall >= around:
            yield _frustum(column, wall, around, top, bottom)
        yield _within_pocket(column, wall, bottom)
    else:
        yield from (_frustum(column, _widened(around, top, taper), around, top, bottom) for taper in TAPERS)
        inner = max(2.0 * (column.pocket_radius - _LEDGE), column.pocket_radius)
        yield from (_within_pocket(column, _widened(inner, column.seat, taper), bottom) for taper in TAPERS)


def ring_width(frustum: Frustum, column: Hole) -> float | None:
    """Least width of the ring a core leaves round the pocket's wall, mm; None where it has no such ring."""
    if column.pocket_radius == 0.0 or frustum.radius_at(column.seat) <= column.pocket_radius:
        return None
    return max(frustum.top_radius - column.pocket_reach, 0.0)


def height_within(frustum: Frustum, column: Hole) -> float:
    """Height along the axis up to which a core is wider than the bore it stands round, mm."""
    foot, top = frustum.foot_radius - column.hole_radius, frustum.top_radius - column.hole_radius
    return frustum.top * foot / (foot - top) if top < 0.0 < foot else frustum.top


def washer_share(frusta: Sequence[Frustum], column: Hole, radius: float) -> float:
    """Share of a washer's area that has core under it at the seat, 0 to 1; the least along a slot.

    Parameters
    ----------
    frusta
        The outlines of all cores.
    column
        The bore.
    radius
        Outer radius of the washer, or of a head without one, mm.
    """
    radii = radius * (np.arange(_RINGS) + 0.5) / _RINGS
    points = circles(column, radii, np.full(_RINGS, column.seat - _UNDER))
    shares = []
    for along in (-0.5, 0.0, 0.5) if column.slot > 0.0 else (0.0,):
        stand = points + along * column.slot * np.array(column.slot_along)
        solid = column.seen_from(stand)[0] >= column.hole_radius
        inside = np.min([frustum.distance(stand) for frustum in frusta], axis=0) <= 0.0
        weight = np.repeat(radii, SEGMENTS) * solid
        shares.append(float((weight * inside).sum() / weight.sum()))
    return min(shares)


def pocket_gap(frustum: Frustum, column: Hole, start: float) -> float | None:
    """Least distance between the face of a core and the pocket of another bore beside or within it, mm.

    Parameters
    ----------
    frustum
        The core's outline.
    column
        The other bore.
    start
        Height along its axis from which its pocket counts, mm: up to there its own core stands round it.

    Returns
    -------
    float or None
        None where the core ends below that height.
    """
    if column.pocket_radius == 0.0 or frustum.top <= start:
        return None
    heights = np.linspace(start, frustum.top, _LEVELS)
    wall = circles(column, np.full(_LEVELS, column.pocket_reach), heights)
    return float(np.abs(frustum.distance(wall)).min())


def circles(about: Hole | Frustum, radii: Floats, heights: Floats) -> Floats:
    """Corners (128 k, 3) of k circles about an axis, given by radius and height along it, (k,) mm each."""
    flat = circle_points(1.0)[None] * radii[:, None, None]
    level = np.broadcast_to(heights[:, None, None], (len(radii), SEGMENTS, 1))
    local = np.concatenate([flat, level], axis=2).reshape(-1, 3)
    return np.asarray(local @ turn_to(np.array(about.axis)).T + np.array(about.foot))


def _widened(diameter: float, height: float, taper: float) -> float:
    """Diameter at the foot of a cone of `diameter` at `height`, `taper` degrees from its axis."""
    return float(diameter + 2.0 * height * np.tan(np.radians(taper)))


def _within_pocket(column: Hole, wall: float, bottom: float) -> Frustum:
    """Make a core that meets the seat within the pocket's outline; its cutter goes on into the pocket."""
    at_seat = min(wall / 2.0, max(column.pocket_radius - _LEDGE, column.pocket_radius / 2.0))
    slope = (wall / 2.0 - at_seat) / column.seat
    beyond = min(1.0, at_seat / (2.0 * slope)) if slope > 0.0 else 1.0
    return _frustum(column, wall, 2.0 * (at_seat - slope * beyond), column.seat + beyond, bottom)


def _frustum(column: Hole, wall: float, top_diameter: float, top: float, bottom: float) -> Frustum:
    """Make the cone through both diameters, from `top` down to below z = `bottom` all round."""
    upright = column.axis[2]
    lean = np.sqrt(max(1.0 - upright * upright, 0.0))
    lowest = (bottom - 1.0 - lean * wall) / upright
    return Frustum(column.foot, column.axis, wall / 2.0, top_diameter / 2.0, top, min(float(lowest), -1.0))
