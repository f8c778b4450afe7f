"""A solid's surface in small cells, each with the least fraction of the ball found there."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import ndimage

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.measure.occupancy import Inside
from holdwright.geometry.tips.ball_fraction import FractionField
from holdwright.geometry.tips.neighbourhood import (
    LARGEST_POINT,
    LONGEST_POINT,
    NEIGHBOURS,
    RING,
    Around,
    core_and_ring,
    way_out,
)

TOO_THIN = 0.03
"""Below this fraction the lattice is too coarse to tell one place of a needle from another."""


class SurfaceFractions:
    """The surface of a solid in cells of the lattice, each with the least fraction found in it.

    Parameters
    ----------
    field
        Fractions over the solid.
    points
        (n, 3) mm, on the solid's surface, close enough that every cell it passes through has one.
    back
        Below this height, mm, nothing is looked at; None: everywhere.
    own
        Corners of the box in which sharp places are reported, mm; round it they are only looked at. None:
        everywhere.
    """

    def __init__(
        self,
        field: FractionField,
        points: Floats,
        back: float | None,
        own: tuple[Floats, Floats] | None = None,
    ) -> None:
        self.lattice, self.ball, self._own = field.lattice, field.ball, own
        if back is not None:
            points = points[points[:, 2] > back]
        fractions = field.at(points)
        cells = np.rint(self.lattice.indices(points)).astype(np.int64)
        flat = np.ravel_multi_index(tuple(cells.T), self.lattice.shape)
        order = np.argsort(-fractions, kind="stable")
        self.points, self.fractions = points[order], fractions[order]
        self.least = np.full(self.lattice.shape, np.inf, dtype=np.float32)
        self.sample = np.full(self.lattice.shape, -1, dtype=np.int64)
        self.least.reshape(-1)[flat[order]] = self.fractions
        self.sample.reshape(-1)[flat[order]] = np.arange(len(order))

    def owns(self, places: Floats) -> Mask:
        """Tell which of (n, 3) places lie in the box."""
        if self._own is None:
            return np.ones(len(places), dtype=bool)
        return np.asarray(((places >= self._own[0]) & (places < self._own[1])).all(axis=1))

    def regions(self, limit: float) -> Iterator["Region"]:
        """Give the connected regions whose fraction is below `limit`."""
        labels, _ = ndimage.label(self.least < limit, NEIGHBOURS)
        for label, where in enumerate(ndimage.find_objects(labels), start=1):
            corner = np.array([part.start for part in where])
            yield Region(self, np.argwhere(labels[where] == label) + corner)

    def sharpest_near(self, point: Floats) -> Floats:
        """Give the sharpest place near a point: one farther away only if it is clearly sharper there."""
        distance = np.linalg.norm(self.points - point, axis=1)
        nearest = float(distance.min())
        close = np.flatnonzero(distance <= max(self.ball / 2, nearest))
        wide = np.flatnonzero(distance <= max(self.ball * 1.5, nearest))
        inner, outer = close[np.argmin(self.fractions[close])], wide[np.argmin(self.fractions[wide])]
        return np.asarray(
            self.points[outer if self.fractions[outer] < 0.8 * self.fractions[inner] else inner]
        )

    def around(self, cell: Indices) -> Around | None:
        """Look round about a cell; None where the sharp place is an edge, or there is nothing round about."""
        reach = int(np.ceil((LARGEST_POINT + RING[1]) * self.ball / self.lattice.spacing))
        low_corner = np.maximum(cell - reach, 0)
        local = self.least[_window(low_corner, cell + reach + 1)]
        here = tuple(cell - low_corner)
        found = core_and_ring(local, here, self.lattice.spacing / self.ball)
        if found is None:
            return None
        away = way_out(local, *found)
        low, high = np.percentile(local[found[1]], [5, 95])
        place = self.points[self.sample[tuple(away + low_corner)]]
        return Around(place, float(local[tuple(away)]), float(low), float(high))


@dataclass(frozen=True, eq=False)
class Region:
    """A connected region of low fraction."""

    surface: SurfaceFractions
    """What it is part of."""
    cells: Indices
    """(n, 3) int64 indices of its cells."""

    @property
    def ball(self) -> float:
        """Radius of the ball, mm."""
        return self.surface.ball

    def candidates(self) -> Iterator[tuple[Floats, Around]]:
        """Give places that may be tips, sharpest first, none near another, each with its surroundings."""
        if self.is_spike and self.least.min() < TOO_THIN:
            end = self._free_end()
            if self.surface.owns(end[None]).all():
                yield end, Around(end, 1.0, 1.0, 1.0)
            return
        left = self.surface.owns(self.surface.lattice.points(self.cells))
        for position in np.argsort(self.least, kind="stable"):
            if not left[position]:
                continue
            cell = self.cells[position]
            distance = np.linalg.norm(self.cells - cell, axis=1) * self.surface.lattice.spacing
            left &= distance > LONGEST_POINT * self.ball
            around = self.surface.around(cell)
            if around is not None and around.is_tip(float(self.least[position]), slack=1.2):
                yield self.surface.points[self.surface.sample[tuple(cell)]], around

    def rest(self, tips: list[Floats], limit: float) -> Iterator[tuple[Floats, float, float]]:
        """Give place, length (mm) and least fraction of each stretch below `limit` that belongs to no tip."""
        lattice = self.surface.lattice
        kept = self.surface.owns(lattice.points(self.cells))
        for tip in tips:
            distance = np.linalg.norm(lattice.points(self.cells) - tip, axis=1)
            if self.is_spike and distance.min() < self.ball:
                return
            kept &= distance > RING[1] * self.ball
        cells = self.cells[kept]
        if len(cells) == 0:
            return
        corner = cells.min(axis=0)
        labels, count = ndimage.label(_drawn(cells - corner, cells.max(axis=0) - corner + 1), NEIGHBOURS)
        named = labels[tuple((cells - corner).T)]
        for label in range(1, count + 1):
            part = cells[named == label]
            sharpest = tuple(part[np.argmin(self.surface.least[tuple(part.T)])])
            fraction = float(self.surface.least[sharpest])
            if fraction < limit:
                length = (float(np.ptp(part @ _main_direction(part))) + 1.0) * lattice.spacing
                yield self.surface.points[self.surface.sample[sharpest]], length, fraction

    @cached_property
    def least(self) -> Floats:
        """(n,) the cells' fractions."""
        return np.asarray(self.surface.least[tuple(self.cells.T)], dtype=np.float64)

    @cached_property
    def is_spike(self) -> bool:
        """Whether it borders on the fuller surface at one end only, as a needle does and an edge does not."""
        direction = _main_direction(self.cells)
        return len(self._border) == 0 or bool(
            np.ptp(self._border @ direction) < 0.5 * np.ptp(self.cells @ direction)
        )

    @cached_property
    def _border(self) -> Indices:
        """Cells of the region next to fuller ones."""
        corner = np.maximum(self.cells.min(axis=0) - 1, 0)
        local = self.surface.least[_window(corner, self.cells.max(axis=0) + 2)]
        own = _drawn(self.cells - corner, np.array(local.shape))
        fuller = np.isfinite(local) & ~own
        return np.asarray(np.argwhere(own & ndimage.binary_dilation(fuller, NEIGHBOURS)) + corner)

    def _free_end(self) -> Floats:
        """Give the place of a spike farthest from where it borders on the rest, (3,) mm."""
        foot = self._border.mean(axis=0) if len(self._border) else self.cells[0]
        end = self.cells[np.argmax(np.linalg.norm(self.cells - foot, axis=1))]
        return np.asarray(self.surface.points[self.surface.sample[tuple(end)]])


def points_on(corners: Floats, spacing: float) -> Floats:
    """Give points (n, 3) mm, no farther apart than `spacing`, on triangles (m, 3, 3) larger than that."""
    sides = np.linalg.norm(corners[:, [2, 0, 1]] - corners[:, [1, 2, 0]], axis=2)
    large = sides.max(axis=1) > spacing
    corners, sides = corners[large], sides[large]
    if len(corners) == 0:
        return np.empty((0, 3))
    top = np.argmax(sides, axis=1)
    turn = (top[:, None] + np.arange(3)) % 3
    corners = np.take_along_axis(corners, turn[:, :, None], axis=1)
    apex, start, end = corners[:, 0], corners[:, 1], corners[:, 2]
    base = sides.max(axis=1)
    height = np.linalg.norm(np.cross(start - apex, end - apex), axis=1) / base
    # rows along the longest side, each with a point on both other sides
    up = np.ceil(height / spacing).astype(np.int64)
    triangle, row = unrolled(up + 1)
    rise = row / up[triangle].clip(1)
    across = np.ceil(base[triangle] * (1.0 - rise) / spacing).astype(np.int64)
    line, place = unrolled(across + 1)
    along = (place / across[line].clip(1)) * (1.0 - rise[line])
    triangle, rise = triangle[line], rise[line]
    first = start[triangle]
    return np.asarray(
        first + along[:, None] * (end[triangle] - first) + rise[:, None] * (apex[triangle] - first)
    )


def _window(low: Indices, end: Indices) -> tuple[slice, ...]:
    """Give the part of a lattice from one cell up to, not including, another."""
    return tuple(slice(int(first), int(last)) for first, last in zip(low, end, strict=True))


def _drawn(cells: Indices, shape: Indices) -> Inside:
    """Mark cells on a lattice of a shape."""
    mask = np.zeros(tuple(shape), dtype=bool)
    mask[tuple(cells.T)] = True
    return mask


def _main_direction(cells: Indices) -> Floats:
    """Give the (3,) unit vector along which cells reach farthest."""
    if len(cells) < 2:
        return np.array([0.0, 0.0, 1.0])
    _, axes = np.linalg.eigh(np.cov(cells.T.astype(np.float64)))
    return np.asarray(axes[:, -1])
