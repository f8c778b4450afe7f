"""Ridding closed surfaces of overlap with themselves, and measuring what became of the sculpt."""

from dataclasses import replace

import numpy as np
from manifold3d import Error
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import FINENESS, NONE, Deviation, SurfacePoints, apart, sampled
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.mesh.connectivity import linked_sets, sides_by_edge
from holdwright.geometry.mesh.mesh import Mesh, cross_products
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.geometry.repair.grid_rebuild import rebuilt
from holdwright.geometry.repair.mesh_arrangement import boundary
from holdwright.geometry.repair.overlap_detection import LEAST, lines_through
from holdwright.geometry.repair.repair_account import Mending

_CRUMB = 2e-5
"""Share of the volume below which a part apart from the rest, or a hollow, is left out: tips of folds."""

_THINNEST = 1e-6
"""Share of the extent: what is thinner is no material that is missed, wherever it lies."""

_LINES = 20_000
"""Lines by which a surface is judged: volumes come out within a thousandth."""

_OFF = 4e-3
"""Share of its volume by which a solid may be off what lines counted."""


def resolved(surface: Mesh, mending: Mending, voxel: float | None) -> tuple[Solid, Mending] | None:
    """Make a solid of a closed surface, without overlap: as it is, else its boundary, else made anew.

    Parameters
    ----------
    surface
        Every edge used equally in both directions; outward.
    mending
        What was done so far.
    voxel
        Of a new surface, see `grid_rebuild.rebuilt`.

    Returns
    -------
    tuple or None
        The solid and the account carried on; None where the surface encloses nothing.
    """
    met = lines_through([surface], _LINES)
    counted, doubled = float(met.volume[0]), float(met.doubled[0])
    account = replace(mending, counted=counted)
    if doubled <= LEAST * counted:
        kernel = kernel_of(surface)
        if kernel.status() == Error.NoError and kernel.num_tri() > 0:
            return Solid(kernel), replace(account, after=float(kernel.volume()))
    account = replace(account, doubled=doubled)
    kept = _outline(surface, counted)
    if kept is not None:
        solid, lost = kept
        return solid, replace(account, after=solid.volume, away=Deviation(lost, 0.0))
    new = rebuilt(surface, voxel)
    if new is None:
        return None
    solid = Solid(new.kernel)
    return solid, replace(account, grade="rebuilt", voxel=new.voxel, anew=1.0, after=solid.volume)


def _outline(surface: Mesh, counted: float) -> tuple[Solid, float] | None:
    """Give what a surface encloses as a solid, crumbs and slits left out, and how far crumbs reach from it.

    None where that is too tangled, or not what lines `counted`.
    """
    outline = boundary(surface)
    if outline is None:
        return None
    side, first = sides_by_edge(outline.triangles, len(outline.vertices))
    if (np.diff(first) != 2).any():
        return None
    # Across edges alone: a crumb may touch the rest in a vertex.
    one, other = side.reshape(-1, 2).T // 3
    count, part = linked_sets(one, other, len(outline.triangles))
    six = np.einsum("ij,ij->i", outline.corners[:, 0] - surface.bounds[0], outline.crosses)
    volumes = np.bincount(part, weights=six / 6.0, minlength=count)
    large = np.abs(volumes) > _CRUMB * counted
    if abs(float(volumes[large].sum()) - counted) > _OFF * counted:
        return None
    kernel = kernel_of(outline.submesh(large[part]))
    if kernel.status() != Error.NoError:
        return None
    solid = Solid(kernel)
    thinnest = _THINNEST * surface.diagonal * np.bincount(part, weights=outline.areas, minlength=count)
    crumbs = outline.submesh((~large & (2.0 * volumes > thinnest))[part]).vertices
    return solid, float(np.max(cKDTree(solid.vertices).query(crumbs)[0], initial=0.0))


def measured(solid: Solid, mending: Mending, own: Mesh, filling: Mesh) -> Mending:
    """Add to an account how far sculpt and solid are from each other.

    Parameters
    ----------
    solid
        What came of it.
    mending
        The account.
    own
        The sculpt's surface.
    filling
        What closed its holes; parts of the solid nearer to that are not measured.
    """
    # Only where they differ, and all the more densely.
    gone, new = apart(own, solid.mesh), apart(solid.mesh, own)
    away = _outside(sampled(gone), solid) if len(gone.triangles) else NONE
    there = sampled(new) if len(new.triangles) else np.zeros((0, 3))
    spacing = float(solid.size.max()) / FINENESS
    limit = np.full(len(there), np.inf)
    if len(there) and len(filling.triangles):
        limit = SurfacePoints(filling, spacing).nearest(there).distance
        there, limit = there[limit > 1e-9 * solid.mesh.diagonal], limit[limit > 1e-9 * solid.mesh.diagonal]
    distance = SurfacePoints(own, spacing).nearest(there).distance if len(there) else limit
    added = _summed(distance[distance <= limit])
    return replace(
        mending,
        away=_moved(away, gone.area / own.area, mending.moved),
        added=_moved(added, new.area / solid.area, mending.moved),
    )


def _summed(distance: Floats) -> Deviation:
    return Deviation(float(distance.max()), float(distance.mean())) if len(distance) else NONE


def _moved(found: Deviation, share: float, moved: float) -> Deviation:
    """Spread the mean over the whole surface, and count in what welding moved: that is in neither surface."""
    return Deviation(found.largest + moved, found.mean * share)


def _outside(points: Floats, solid: Solid) -> Deviation:
    """Distances from points to a solid, none for those inside it."""
    extent = float(solid.size.max())
    surface = SurfacePoints(solid.mesh, extent / FINENESS)
    distance = surface.near(points).distance
    off = np.flatnonzero(distance > 1e-6 * extent)
    if len(off):
        inside = within(points[off], solid)
        distance[off[inside]] = 0.0
        distance[off[~inside]] = surface.nearest(points[off[~inside]]).distance
    return _summed(distance)


def within(points: Floats, solid: Solid) -> NDArray[np.bool_]:
    """Tell which of (n, 3) points lie inside a solid: a ray from there leaves it before it enters it."""
    # Slightly aslant, so that no ray runs within an upright face.
    up = np.array([0.0123, 0.0171, 1.0]) / np.linalg.norm([0.0123, 0.0171, 1.0])
    _, hit = RayTree(solid.mesh).first_hits(points, np.tile(up, (len(points), 1)))
    return np.asarray((hit >= 0) & (cross_products(solid.vertices, solid.triangles[hit]) @ up > 0))
