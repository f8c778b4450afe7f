"""Fields over a hold's surface, measured on the exact solids."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.thickness import thinnest, wall_thickness
from holdwright.geometry.mesh.mesh import cross_products, lengths
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Point
from holdwright.pipeline.views.work_context import WorkContext

Places = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class ThicknessRequest:
    """Where the thickness is required."""

    step: str
    key: str
    """step, key: the step whose solids are meant, and the key of its result."""
    places: Mapping[str, Places]
    """For each solid, by name, (n, 3) float32 places on its surface, mm: the vertices drawn."""


@dataclass(frozen=True, eq=False)
class SurfaceField:
    """A quantity over the surface of one solid."""

    values: NDArray[np.float32]
    """(n,) float32, one for each place request."""
    low: float
    high: float
    """low, high: least and greatest figure worth a colour of its own: the least that holds over some surface,
    and the one that all but a twentieth of the surface stays below."""
    place: Point
    """Where `low` was found, mm."""


def measure_thickness(context: WorkContext, request: ThicknessRequest) -> dict[str, SurfaceField]:
    """Measure the wall at every place, solid by solid; see `geometry.measure.thickness.wall_thickness`.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it, where the solids have to be made anew; or when the faces
        of a solid are all too small to measure from.
    """
    context.progress.report(0.0, "measuring walls")
    hold = context.hold(request.step, request.key, context.progress.part(0.0, 0.4))
    fields = {}
    for number, (name, places) in enumerate(request.places.items()):
        context.progress.report(0.4 + 0.6 * number / len(request.places), f"measuring walls of the {name}")
        fields[name] = thickness_field(hold.solids[name], places)
    context.progress.report(1.0, "measured")
    return fields


def thickness_field(solid: Solid, places: Places) -> SurfaceField:
    """Measure the wall of a solid at places on its surface."""
    thickness = wall_thickness(solid, cone=True)
    if not np.isfinite(thickness).any():
        raise GeometryError("No wall can be measured: every face of the solid is too small to measure from.")
    areas = _areas(solid)
    least = thinnest(solid, thickness)
    order = np.argsort(thickness)
    covered = np.cumsum(areas[order])
    most = thickness[order[min(int(np.searchsorted(covered, 0.95 * covered[-1])), len(order) - 1)]]
    values = at_places(solid, at_vertices(solid, thickness, areas), places)
    high = float(most) if np.isfinite(most) else float(values.max())
    return SurfaceField(values.astype(np.float32), least.thickness, max(high, least.thickness), least.place)


def at_vertices(solid: Solid, of_faces: Floats, areas: Floats) -> Floats:
    """Carry a field from faces to vertices: the mean of the faces round each, by their areas.

    Parameters
    ----------
    of_faces
        (m,); faces without a finite figure do not count.
    areas
        (m,) mm2.

    Returns
    -------
    Floats
        (n,); a vertex with no face that counts takes the figure of the nearest vertex that has one.
    """
    counts = np.isfinite(of_faces) & (areas > 0.0)
    corners = solid.triangles[counts].ravel()
    weights = np.repeat(areas[counts], 3)
    total = len(solid.vertices)
    weight = np.bincount(corners, weights, total)
    values: Floats = np.bincount(corners, weights * np.repeat(of_faces[counts], 3), total).astype(np.float64)
    known = weight > 0.0
    values[known] /= weight[known]
    if not known.all():
        values[~known] = values[known][cKDTree(solid.vertices[known]).query(solid.vertices[~known])[1]]
    return values


def at_places(solid: Solid, of_vertices: Floats, places: Places) -> Floats:
    """Give a field of vertices at places: those of the nearest vertices, in any order and number."""
    vertices = solid.vertices.astype(np.float32)
    if np.array_equal(vertices, places):
        return of_vertices
    return np.asarray(of_vertices[cKDTree(vertices).query(places)[1]])


def _areas(solid: Solid) -> Floats:
    return lengths(cross_products(solid.vertices, solid.triangles)) / 2.0
