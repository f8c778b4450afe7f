"""Making a closed surface that crosses itself the boundary of what it encloses.

Triangles are cut into polygons along the lines where they cross. How often the surface winds round the space
beside a polygon changes by one from polygon to polygon across a line, and not at all across an edge; polygons
with nothing on one side are the boundary (Q. Zhou, E. Grinspun, D. Zorin and A. Jacobson, Mesh arrangements
for solid geometry, ACM ToG 35, 2016). So all of it is the surface's own, and nothing is moved.
"""

import numpy as np

from holdwright.geometry.arrays import Indices
from holdwright.geometry.mesh.connectivity import linked_sets
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.cut_triangles import Polygons, polygons_of
from holdwright.geometry.repair.triangle_crossings import TangledError, crossed

_JITTER = 1e-9
"""Share of the extent by which vertices are moved, so that none lies in the plane of a triangle apart."""


def boundary(surface: Mesh) -> Mesh | None:
    """Give the boundary of what a closed surface encloses, however often; None where it is too tangled.

    Parameters
    ----------
    surface
        Connected, every edge used equally in both directions. It may cross itself and be inside out in
        places: what it winds round in either direction is enclosed.

    Returns
    -------
    Mesh or None
        Closed and outward, of the surface's own triangles and parts of them.
    """
    reach = _JITTER * surface.diagonal
    jitter = np.random.default_rng(1).uniform(-reach, reach, surface.vertices.shape)
    moved = Mesh(surface.vertices + jitter, surface.triangles)
    try:
        met = crossed(moved)
        if not len(met.pairs):
            return surface
        polygons = polygons_of(moved, met)
        outside = _winding(moved, polygons)
    except TangledError:
        return None
    points = np.concatenate([surface.vertices, polygons.points[len(surface.vertices) :]])
    triangles, polygon = polygons.triangulated((outside == 0) | (outside == -1))
    inverted = outside[polygon] == -1
    # Parts inside out touch the rest along lines: with corners of their own no edge is used four times.
    turned = triangles[inverted, ::-1] + len(points)
    return Mesh(np.concatenate([points, points]), np.concatenate([triangles[~inverted], turned])).compact()


def _winding(surface: Mesh, cut: Polygons) -> Indices:
    """Give how often the surface winds round what lies outside of each polygon."""
    count, patch = _patches(cut)
    left, right = patch[cut.beside], patch[cut.across]
    part = linked_sets(left, right, count)[1][patch]
    by_part = np.lexsort((cut.areas, part))
    found = np.zeros(count, dtype=np.int64)
    known = np.zeros(count, dtype=bool)
    for largest in by_part[np.append(np.diff(part[by_part]) != 0, True)]:
        found[patch[largest]], known[patch[largest]] = _round(surface, cut, int(largest)), True
    while not known.all():
        fresh = known[right] & ~known[left]
        found[left[fresh]] = found[right[fresh]] + cut.step[fresh]
        known[left[fresh]] = True
    if (found[left] - found[right] != cut.step).any():
        raise TangledError
    return np.asarray(found[patch])


def _patches(cut: Polygons) -> tuple[int, Indices]:
    """Join polygons across the edges that two of them share: how many patches, and the patch of each."""
    key = np.minimum(cut.start, cut.end) * len(cut.points) + np.maximum(cut.start, cut.end)
    order = np.argsort(key, kind="stable")
    key, left = key[order], cut.left[order]
    first = np.flatnonzero(np.concatenate(([True], key[1:] != key[:-1], [True])))
    pairs = first[:-1][np.diff(first) == 2]
    return linked_sets(left[pairs], left[pairs + 1], len(cut.owner))


def _round(surface: Mesh, cut: Polygons, polygon: int) -> int:
    """Give the winding number outside of a polygon, by solid angles.

    Source: A. van Oosterom and J. Strackee, The solid angle of a plane triangle, IEEE Transactions on
    Biomedical Engineering 30, 1983.
    """
    parts = Mesh(cut.points, cut.triangulated(np.arange(len(cut.owner)) == polygon)[0])
    middle = parts.corners[np.argmax(parts.areas)].mean(axis=0)
    a, b, c = np.moveaxis(np.delete(surface.corners, cut.owner[polygon], axis=0) - middle, 1, 0)
    la, lb, lc = (np.sqrt(np.einsum("ij,ij->i", each, each)) for each in (a, b, c))
    ab, bc, ca = (np.einsum("ij,ij->i", one, other) for one, other in ((a, b), (b, c), (c, a)))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c))
    angle = 2.0 * np.arctan2(volume, la * lb * lc + ab * lc + bc * la + ca * lb)
    # On the surface itself it is the mean of both sides.
    number = float(angle.sum()) / (4.0 * np.pi) - 0.5
    if abs(number - round(number)) > 0.1:
        raise TangledError
    return round(number)
