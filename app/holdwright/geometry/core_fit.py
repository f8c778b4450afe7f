"""Choosing a core that holds the bolt and stays inside the hold."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.clearance import Nearest, nearest_to_frustum
from holdwright.geometry.frustum import Frustum
from holdwright.geometry.sculpt import Floats, Indices

COLUMN_TO_POCKET = 1.5
"""Diameter of the solid column in pocket diameters. Common practice, no source: 1.5 washer diameters."""

TAPERS = (10.0, 5.0, 0.0)
"""Degrees from the axis that an automatic core widens by towards the wall, first choice first. Our choice."""

_LEDGE = 1.0
"""mm that a core standing within its pocket's outline stays inside it."""

_BACK = 1e-3
"""mm above the finished back below which a vertex belongs to the back."""


@dataclass(frozen=True)
class Column:
    """Where a core stands.

    Attributes
    ----------
    foot
        Where its axis meets the finished back, mm.
    axis
        Unit vector from the back outward.
    seat
        Height of the bolt's seat along the axis, mm.
    pocket_radius
        Radius of the pocket above the seat, mm; 0 for none.
    hole_radius
        Radius of the hole below the seat, mm; 0 for none.
    """

    foot: tuple[float, float, float]
    axis: tuple[float, float, float]
    seat: float
    pocket_radius: float = 0.0
    hole_radius: float = 0.0


@dataclass(frozen=True)
class Wish:
    """What a core should be like, mm. A diameter of 0 is for us to choose."""

    wall_diameter: float = 0.0
    top_diameter: float = 0.0
    above_seat: float = 1.0
    clear_of_pocket: float = 6.0
    least_shell: float = 6.0


@dataclass(frozen=True, eq=False)
class GripSurface:
    """A hold's surface without its back and its bores.

    Attributes
    ----------
    vertices
        (n, 3) float64, mm.
    rim, above
        (m, 3) triangles that reach down into the rim, and all others.
    """

    vertices: Floats
    rim: Indices
    above: Indices


@dataclass(frozen=True)
class Fit:
    """A core chosen.

    Attributes
    ----------
    frustum
        Its outline.
    to_rim, to_grip
        Where the rim and the surface above it come nearest to it.
    first_wish
        The core that would have been chosen with room to spare; the same frustum if there was room.
    """

    frustum: Frustum
    to_rim: Nearest
    to_grip: Nearest
    first_wish: Frustum

    @property
    def shell(self) -> float:
        """Least thickness of shell round the core, mm; negative where the core pierces it."""
        return min(self.to_rim.distance, self.to_grip.distance)


def grip_surface(
    vertices: Floats, triangles: Indices, columns: Sequence[Column], rim_height: float
) -> GripSurface:
    """Leave out the back (below the finished back too) and the bores of `columns`."""
    back = vertices[:, 2] < _BACK
    dropped = back[triangles].all(axis=1)
    for column in columns:
        dropped |= _on_bore(vertices, column)[triangles].all(axis=1)
    kept = triangles[~dropped]
    low = (vertices[:, 2] <= rim_height + _BACK)[kept].any(axis=1)
    return GripSurface(vertices, kept[low], kept[~low])


def _on_bore(vertices: Floats, column: Column) -> NDArray[np.bool_]:
    """Tell which vertices lie on or within a bore, whose polygon stands out of its circle by 0.02 %."""
    relative = vertices - np.array(column.foot)
    axis = np.array(column.axis)
    height = relative @ axis
    square = np.einsum("ij,ij->i", relative, relative) - height * height
    hole, pocket = (radius * 1.0005 + 0.01 for radius in (column.hole_radius, column.pocket_radius))
    return np.asarray(
        (square <= hole * hole) | ((square <= pocket * pocket) & (height >= column.seat - _BACK))
    )


def fit_core(column: Column, wish: Wish, surface: GripSurface, bottom: float) -> Fit:
    """Take the first candidate that leaves `wish.least_shell` of shell, else the one that leaves most.

    Parameters
    ----------
    bottom
        Lowest z of the hold, mm: the core goes through below it.
    """
    fits: list[Fit] = []
    for frustum in candidates(column, wish, bottom):
        fit = Fit(
            frustum,
            nearest_to_frustum(frustum, surface.vertices, surface.rim),
            nearest_to_frustum(frustum, surface.vertices, surface.above),
            fits[0].frustum if fits else frustum,
        )
        if fit.shell >= wish.least_shell:
            return fit
        fits.append(fit)
    return max(fits, key=lambda fit: fit.shell)


def candidates(column: Column, wish: Wish, bottom: float) -> Iterator[Frustum]:
    """Give the cores that meet a wish, best first.

    A core either leaves a ring of at least `wish.clear_of_pocket` round the pocket and ends `wish.above_seat`
    above the seat, or stands within the pocket's outline and ends at the seat: never a thin ring. Only a top
    diameter that was asked for is taken as it is.
    """
    pocket = 2.0 * column.pocket_radius
    around = max(COLUMN_TO_POCKET * pocket, pocket + 2.0 * wish.clear_of_pocket)
    top = column.seat + wish.above_seat
    wall = wish.wall_diameter
    if wish.top_diameter > 0.0:
        walls = [wall] if wall > 0.0 else [_widened(wish.top_diameter, top, taper) for taper in TAPERS]
        yield from (_frustum(column, wall, wish.top_diameter, top, bottom) for wall in walls)
    elif pocket == 0.0:
        narrowed = _widened(wall, top, -TAPERS[0])
        yield _frustum(column, wall, max(narrowed, wall / 2.0), top, bottom)
    elif wall > 0.0:
        if wall >= around:
            yield _frustum(column, wall, around, top, bottom)
        yield _within_pocket(column, wall, bottom)
    else:
        yield from (_frustum(column, _widened(around, top, taper), around, top, bottom) for taper in TAPERS)
        inner = max(pocket - 2.0 * _LEDGE, pocket / 2.0)
        yield from (_within_pocket(column, _widened(inner, column.seat, taper), bottom) for taper in TAPERS)


def ring_width(frustum: Frustum, column: Column) -> float | None:
    """Least width of the ring a core leaves round the pocket's wall, mm; None where it has no such ring."""
    if column.pocket_radius == 0.0 or frustum.radius_at(column.seat) <= column.pocket_radius:
        return None
    return max(frustum.top_radius - column.pocket_radius, 0.0)


def _widened(diameter: float, height: float, taper: float) -> float:
    """Diameter at the foot of a cone of `diameter` at `height`, `taper` degrees from its axis."""
    return float(diameter + 2.0 * height * np.tan(np.radians(taper)))


def _within_pocket(column: Column, wall: float, bottom: float) -> Frustum:
    """Make a core that meets the seat within the pocket's outline; its cutter goes on into the pocket."""
    at_seat = min(wall / 2.0, max(column.pocket_radius - _LEDGE, column.pocket_radius / 2.0))
    slope = (wall / 2.0 - at_seat) / column.seat
    beyond = min(1.0, at_seat / (2.0 * slope)) if slope > 0.0 else 1.0
    return _frustum(column, wall, 2.0 * (at_seat - slope * beyond), column.seat + beyond, bottom)


def _frustum(column: Column, wall: float, top_diameter: float, top: float, bottom: float) -> Frustum:
    """Make the cone through both diameters, from `top` down to below z = `bottom` all round."""
    upright = column.axis[2]
    lean = np.sqrt(max(1.0 - upright * upright, 0.0))
    lowest = (bottom - 1.0 - lean * wall) / upright
    return Frustum(column.foot, column.axis, wall / 2.0, top_diameter / 2.0, top, min(float(lowest), -1.0))
