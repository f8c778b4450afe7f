"""What the search for a bore's place knows of a hold: heights over a grid and level sections."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.ndimage import binary_fill_holes, distance_transform_edt, map_coordinates, maximum_filter1d
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.columns import Columns, Grid, columns
from holdwright.geometry.measure.sections import Outlines, along, centroid, outer, section, signed_area
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

CELLS = 150
"""The grid has at most about this many points along the longer side of the hold."""
LEVELS = 24
"""Number of level sections, at most about."""
SPACING = 0.5
"""Distance between points along outlines, mm."""
TURN = 32
"""Directions in which a disc is sampled when a place is refined."""


@dataclass(frozen=True, eq=False)
class HeightGrid:
    """Heights and sections of a hold, finished back on z = 0, mm."""

    solid: Solid
    """The hold."""
    columns: Columns
    """Over all of it."""

    @classmethod
    def of(cls, solid: Solid) -> "HeightGrid":
        """Measure a solid on a grid of 1 mm, coarser for very large holds."""
        return cls(solid, columns_over(solid.mesh, CELLS))

    @property
    def grid(self) -> Grid:
        """The grid of the columns."""
        return self.columns.grid

    @cached_property
    def top(self) -> Floats:
        """Top of the lowest stretch of each column; 0 where there is none."""
        return np.maximum(np.nan_to_num(self.columns.first[1]), 0.0)

    @cached_property
    def underside(self) -> Floats:
        """Underside of the lowest stretch, not below the finished back; 0 where there is none."""
        return np.maximum(np.nan_to_num(self.columns.first[0]), 0.0)

    @cached_property
    def access(self) -> Floats:
        """Distance of grid points from the nearest column with material above its first open air, mm."""
        overhung = self.columns.above_first > 0.0
        if not overhung.any():
            return np.full(self.grid.shape, float(np.hypot(*self.grid.shape)) * self.grid.step)
        return np.asarray(np.maximum(distance_transform_edt(~overhung) - 0.5, 0.0) * self.grid.step)

    @cached_property
    def base(self) -> Mask:
        """Grid points within the outer outlines of the back, hollows counted in."""
        return np.asarray(binary_fill_holes(self.columns.filled(0.02)))

    @cached_property
    def base_places(self) -> Floats:
        """Places (n, 2) of the grid points on the base."""
        return np.stack(self.grid.places, axis=-1)[self.base]

    @cached_property
    def base_outlines(self) -> Outlines:
        """The outer outlines of the back."""
        return outer(section(self.solid, 0.02))

    @cached_property
    def base_edge(self) -> cKDTree:
        """Points along the outer outlines of the back, to look the nearest up in."""
        return _tree(along(self.base_outlines, SPACING))

    @cached_property
    def base_centre(self) -> Floats:
        """Centroid (2,) of what the outer outlines of the back enclose."""
        moments = [centroid(outline) * signed_area(outline) for outline in self.base_outlines]
        return np.asarray(np.sum(moments, axis=0) / self.base_area)

    @cached_property
    def base_area(self) -> float:
        """Area that the outer outlines of the back enclose, mm2."""
        return sum(signed_area(outline) for outline in self.base_outlines)

    @cached_property
    def levels(self) -> Floats:
        """Heights of the level sections, a whole number and a half of their distance above the back."""
        top = float(self.solid.bounds[1, 2])
        apart = max(2.0, float(np.ceil(top / LEVELS)))
        return np.asarray(np.arange(0.5, max(np.floor(top / apart), 1.0)) * apart)

    @cached_property
    def outlines(self) -> tuple[cKDTree, ...]:
        """Points along all outlines of each level section, to look the nearest up in."""
        return tuple(_tree(along(section(self.solid, float(height)), SPACING)) for height in self.levels)

    @cached_property
    def filled(self) -> tuple[Mask, ...]:
        """Which grid points are in material, level by level."""
        return tuple(self.columns.filled(float(height)) for height in self.levels)

    def grid_distances(self, count: Mask) -> Floats:
        """Distance of grid points from the outlines, by level; 0 outside and where none counts."""
        distances = np.zeros((len(count), *self.grid.shape))
        for level in np.flatnonzero(count):
            distances[level] = inner_distance(self.filled[level], self.grid.step)
        return distances

    def distances(self, places: Floats, count: Mask) -> Floats:
        """Distance (levels, n) of places (n, 2) from the outlines; negative outside, 0 where none counts."""
        near, distances = self.cells_of(places), np.zeros((len(count), len(places)))
        for level in np.flatnonzero(count):
            sign = np.where(self.filled[level][near], 1.0, -1.0)
            distances[level] = sign * self.outlines[level].query(places)[0]
        return distances

    def cells_of(self, places: Floats) -> tuple[np.ndarray, np.ndarray]:
        """Give the nearest grid point of each place (n, 2), as indices."""
        column = np.rint((places[:, 0] - self.grid.x) / self.grid.step).astype(int)
        row = np.rint((places[:, 1] - self.grid.y) / self.grid.step).astype(int)
        return np.clip(row, 0, self.grid.rows - 1), np.clip(column, 0, self.grid.columns - 1)

    def over_discs(self, field: Floats, places: Floats, radius: float) -> Floats:
        """Sample a field (n, samples) over discs round places (n, 2), between grid points linearly.

        Where the field is 0 all round, as the underside mostly is, one sample stands for all.
        """
        rows, columns = self.cells_of(places)
        reach = int(radius / self.grid.step) + 2
        beside = [slice(max(each.min() - reach, 0), each.max() + reach + 1) for each in (rows, columns)]
        if not field[beside[0], beside[1]].any():
            return np.zeros((len(places), 1))
        x, y = _disc(radius)
        return self.between(field, places[:, :1] + x, places[:, 1:] + y)

    def outward(self, places: Floats, radius: float, lengths: Floats, turn: int = TURN) -> Floats:
        """Tops outside a circle round places (n, 2), along `turn` rays; (n, turn, lengths)."""
        angle = np.arange(turn) * 2 * np.pi / turn
        reach = radius + lengths[None, :]
        x = places[:, 0, None, None] + np.cos(angle)[:, None] * reach
        y = places[:, 1, None, None] + np.sin(angle)[:, None] * reach
        return self.between(self.top, x, y)

    def between(self, field: Floats, x: Floats, y: Floats) -> Floats:
        """Sample a field of the grid at places, between grid points linearly; 0 beyond it."""
        at = np.stack([(y - self.grid.y) / self.grid.step, (x - self.grid.x) / self.grid.step])
        return np.asarray(map_coordinates(field, at, order=1, mode="constant", cval=0.0))


@lru_cache
def _disc(radius: float) -> tuple[Floats, Floats]:
    """Places of the samples over a disc, from its centre, its centre first; (1, samples) each."""
    rings = np.linspace(0.0, radius, max(2, int(np.ceil(radius / 2.0)) + 1))
    angle = np.arange(TURN) * 2 * np.pi / TURN
    return np.outer(rings, np.cos(angle)).reshape(1, -1), np.outer(rings, np.sin(angle)).reshape(1, -1)


def columns_over(surface: Mesh, cells: int) -> Columns:
    """Take columns over a whole surface, 1 mm apart or at most so many along its longer side."""
    low, high = surface.bounds[:, :2]
    return columns(surface, Grid.over(low, high, max(1.0, float((high - low).max()) / cells)))


def inner_distance(filled: Mask, step: float) -> Floats:
    """Distance of grid points within a shape from its outline, mm; 0 outside it and beyond the border."""
    distance = distance_transform_edt(np.pad(filled, 1))[1:-1, 1:-1]
    return np.asarray(np.maximum(distance - 0.5, 0.0) * step)


def least_over_disc(field: Floats, radius: float) -> Floats:
    """Least value of a field within `radius` grid steps of each point; outside the field counts as 0."""
    return -most_over_disc(-field, radius)


def most_over_disc(field: Floats, radius: float) -> Floats:
    """Greatest value of a field within `radius` grid steps of each point; outside the field counts as 0."""
    reach = int(radius)
    padded = np.pad(field, reach)
    rows, cols = field.shape
    most = np.full(field.shape, -np.inf)
    for shift in range(-reach, reach + 1):
        half = int(np.sqrt(max(radius**2 - shift**2, 0.0)))
        row = padded[reach + shift : reach + shift + rows]
        most = np.maximum(most, maximum_filter1d(row, 2 * half + 1, axis=1)[:, reach : reach + cols])
    return most


def _tree(points: Floats) -> cKDTree:
    # Midpoint splits: median ones are very slow on the many equal coordinates of straight edges.
    return cKDTree(points if len(points) else np.full((1, 2), 1e9), balanced_tree=False)
