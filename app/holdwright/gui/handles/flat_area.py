"""The flat area round a place on a surface, found while the pointer moves: what the step will fit."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.base.planar_regions import TOLERANCE, Plane, fit_plane, hanging_together, near_plane
from holdwright.geometry.measure.surface_sample import SurfaceSample, whole_surface
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.gui.viewport.picking import Probe
from holdwright.pipeline.views.display_results import Surface


@dataclass(frozen=True, eq=False)
class FlatArea:
    """A flat area."""

    surface: Surface
    """What it is on."""
    members: Indices
    """Numbers of its triangles, ascending."""
    normal: Floats
    """(3,) unit, out of the solid."""
    mesh: Mesh
    """Its triangles alone."""


class FlatAreas:
    """Finds flat areas of one surface as `flat_round` of the geometry does, but within a frame.

    Parameters
    ----------
    surface
        Wound outward, mm.
    """

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self._mesh = surface.mesh
        self._sample = whole_surface(self._mesh)
        self._probe = Probe(surface)

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
        seed = self._triangle_at(place, facing)
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
        members = np.array([first])
        for _ in range(4):
            near = near_plane(part, plane, tolerance)
            near[first] = True
            members = hanging_together(self._mesh.triangles[names], np.flatnonzero(near), first)
            plane = _fitted(part.chosen(members), plane.normal)
        members = names[members]
        return FlatArea(self.surface, members, plane.normal, self._mesh.submesh(members))

    def holds(self, area: FlatArea, place: Floats, facing: Floats) -> bool:
        """Tell whether a place on the surface lies on an area."""
        seed = self._triangle_at(place, facing)
        return seed is not None and bool(np.isin(seed, area.members))

    def _triangle_at(self, place: Floats, facing: Floats) -> int | None:
        """Give the triangle at a place, looked at from outside."""
        way = 0.02 * self._sample.span * facing
        hit = self._probe.meet(place + way, place - way)
        return hit[1] if hit else None


def _fitted(sample: SurfaceSample, outward: Floats) -> Plane:
    return fit_plane(sample.points, np.repeat(np.maximum(sample.weights, 1e-12), 3), outward)
