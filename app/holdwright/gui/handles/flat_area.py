"""The flat area round a place on a surface, found while the pointer moves: what the step will fit."""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.base.planar_regions import TOLERANCE, Plane, fit_plane, hanging_together, near_plane
from holdwright.geometry.measure.surface_sample import SurfaceSample
from holdwright.gui.viewport.picking import Probe
from holdwright.pipeline.display_results import Surface

_ROUNDS: Final = 4


@dataclass(frozen=True, eq=False)
class FlatArea:
    """A flat area.

    Attributes
    ----------
    members
        Numbers of its triangles, ascending.
    normal
        (3,) unit, out of the solid.
    area
        mm2.
    """

    members: Indices
    normal: Floats
    area: float


class FlatAreas:
    """Finds flat areas of one surface as `geometry.near_flat.flat_round` does, but within a frame.

    Parameters
    ----------
    surface
        Wound outward, mm.
    """

    def __init__(self, surface: Surface) -> None:
        self.surface = surface

    def round(self, place: Floats, facing: Floats) -> FlatArea | None:
        """Find the flat area round a place on the surface.

        Parameters
        ----------
        place
            (3,) mm, on the surface or near it.
        facing
            (3,) unit, the way the surface faces there.

        Returns
        -------
        FlatArea or None
            None where there is no surface that faces that way.
        """
        seed = self._met(place, facing)
        if seed is None:
            return None
        sample, tolerance = self._sample, TOLERANCE * self._sample.span
        close = (np.abs(sample.middles - place) < 4.0 * tolerance).all(axis=1)
        close &= sample.normals @ facing > 0.7
        close[seed] = True
        plane = _fitted(sample.chosen(np.flatnonzero(close)), facing)
        around = np.abs(sample.middles @ plane.normal - plane.offset) < 10.0 * tolerance
        around &= sample.normals @ plane.normal > 0.0
        around[seed] = True
        names = np.flatnonzero(around)
        part, first = sample.chosen(names), int(np.searchsorted(names, seed))
        triangles = self._triangles[names]
        members = np.array([first])
        for _ in range(_ROUNDS):
            near = near_plane(part, plane, tolerance)
            near[first] = True
            members = hanging_together(triangles, np.flatnonzero(near), first)
            plane = _fitted(part.chosen(members), plane.normal)
        return FlatArea(names[members], plane.normal, float(part.weights[members].sum()))

    def holds(self, area: FlatArea, place: Floats, facing: Floats) -> bool:
        """Tell whether a place on the surface lies on an area."""
        seed = self._met(place, facing)
        return seed is not None and bool(np.isin(seed, area.members))

    def mesh(self, area: FlatArea) -> tuple[Floats, Indices]:
        """Give an area's points (n, 3) and triangles (m, 3)."""
        used, triangles = np.unique(self._triangles[area.members], return_inverse=True)
        return self.surface.vertices[used].astype(np.float64), triangles.reshape(-1, 3).astype(np.int64)

    def rim(self, area: FlatArea) -> Floats:
        """Give the segments (k, 2, 3) round an area."""
        triangles = self._triangles[area.members]
        sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2)
        key = np.sort(sides, axis=1)
        _, first, uses = np.unique(
            key[:, 0] * len(self.surface.vertices) + key[:, 1], return_index=True, return_counts=True
        )
        return np.asarray(self.surface.vertices[sides[first[uses == 1]]], dtype=np.float64)

    def _met(self, place: Floats, facing: Floats) -> int | None:
        """Give the triangle at a place, looked at from outside."""
        way = 0.02 * self._sample.span * facing
        met = self._probe.meet(place + way, place - way)
        return met[1] if met else None

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self.surface)

    @cached_property
    def _triangles(self) -> Indices:
        return self.surface.triangles.astype(np.int64)

    @cached_property
    def _sample(self) -> SurfaceSample:
        corners = self.surface.vertices.astype(np.float64)[self.surface.triangles]
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        length = np.linalg.norm(cross, axis=1)
        return SurfaceSample(corners, cross / np.maximum(length, 1e-30)[:, None], length / 2.0)


def _fitted(sample: SurfaceSample, outward: Floats) -> Plane:
    return fit_plane(sample.points, np.repeat(np.maximum(sample.weights, 1e-12), 3), outward)
