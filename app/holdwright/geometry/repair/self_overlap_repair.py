"""Ridding closed surfaces of overlap with themselves, and measuring what became of the sculpt."""

from dataclasses import replace

import numpy as np
from manifold3d import Error
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import FINENESS, NONE, Deviation, SurfacePoints, apart, sampled
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.mesh.mesh import Mesh, cross_products
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.geometry.repair.grid_rebuild import rebuilt
from holdwright.geometry.repair.repair_account import Mending
from holdwright.geometry.repair.self_overlap import SelfOverlap, self_overlap


def resolved(
    surface: Mesh, mending: Mending, voxel: float | None, overlap: SelfOverlap | None = None
) -> tuple[Solid, Mending] | None:
    """Make a solid of a closed surface, without overlap: as it is, else its boundary, else made anew.

    Parameters
    ----------
    surface
        Every edge used equally in both directions; outward.
    mending
        What was done so far.
    voxel
        Of a new surface, see `grid_rebuild.rebuilt`.
    overlap
        Of the surface with itself, where that was looked for before.

    Returns
    -------
    tuple or None
        The solid and the account carried on; None where the surface encloses nothing.
    """
    found = self_overlap(surface) if overlap is None else overlap
    account = replace(mending, counted=found.counted)
    if found.none:
        kernel = kernel_of(surface)
        if kernel.status() == Error.NoError and kernel.num_tri() > 0:
            return Solid(kernel), replace(account, after=float(kernel.volume()))
    account = replace(account, doubled=found.doubled)
    if found.outline is not None:
        outline, crumbs = found.outline
        kernel = kernel_of(outline)
        if kernel.status() == Error.NoError:
            solid = Solid(kernel)
            lost = float(np.max(cKDTree(solid.vertices).query(crumbs)[0], initial=0.0))
            return solid, replace(account, after=solid.volume, away=Deviation(lost, 0.0))
    new = rebuilt(surface, voxel)
    if new is None:
        return None
    solid = Solid(new.kernel)
    return solid, replace(account, grade="rebuilt", voxel=new.voxel, anew=1.0, after=solid.volume)


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
