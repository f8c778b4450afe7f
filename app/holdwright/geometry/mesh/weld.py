"""Making one vertex of those that are meant to be one, and dropping triangles that then mean nothing."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Indices
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.geometry.mesh.connectivity import collapsed_triangles, linked_sets
from holdwright.geometry.mesh.mesh import Mesh, lengths

REACHES = (1e-6, 1e-5, 1e-4, 3e-4, 1e-3)
"""Distances tried, as shares of the sculpt's extent: up to 0.1 mm on a hold of 100 mm."""

_OF_EDGE = 0.3
"""No farther than this share of a short open edge, lest faces vanish that are meant."""


@dataclass(frozen=True, eq=False)
class Welded:
    """A surface after welding."""

    mesh: Mesh
    """Every vertex is used."""
    merged: int = 0
    """Vertices that were not equal, but so close to others that they were made one."""
    moved: float = 0.0
    """The farthest that took one of them."""
    dropped: int = 0
    """Triangles left out: of fewer than three different corners, or already present."""


def welded(surface: Mesh) -> Mesh:
    """Make vertices with equal coordinates one (minus zero equals zero)."""
    distinct, place = merge_equal(np.ascontiguousarray(surface.vertices, dtype=np.float64))
    return Mesh(distinct, place[surface.triangles])


def weld(surface: Mesh, extent: float) -> Welded:
    """Weld equal vertices, then close ones along open edges as far as that closes any.

    Parameters
    ----------
    surface
        In any state.
    extent
        Largest size of the sculpt, to which the distances are tied.
    """
    start = best = _cleaned(welded(surface))
    for share in REACHES:
        fewest = len(best.mesh.open_edges)
        if fewest == 0:
            break
        near = _within(start, share * extent)
        if near is not None and len(near.mesh.open_edges) < 0.9 * fewest:
            best = near
    return best


def _within(start: Welded, reach: float) -> Welded | None:
    """Make vertices on open edges one within `reach`; None when that would harm or do nothing."""
    vertices, edges = start.mesh.vertices, start.mesh.open_edges
    long = lengths(vertices[edges[:, 0]] - vertices[edges[:, 1]])
    long = long[long > reach * 1e-3]
    if len(long) and reach > _OF_EDGE * float(np.quantile(long, 0.1)):
        return None
    rim = np.unique(edges)
    pairs = cKDTree(vertices[rim]).query_pairs(reach, output_type="ndarray")
    if len(pairs) == 0:
        return None
    count, label = linked_sets(pairs[:, 0], pairs[:, 1], len(rim))
    sums = np.stack(
        [np.bincount(label, weights=column, minlength=count) for column in vertices[rim].T], axis=1
    )
    middles = sums / np.bincount(label, minlength=count)[:, None]
    place = np.arange(len(vertices))
    first = np.full(count, len(place))
    np.minimum.at(first, label, rim)
    place[rim] = first[label]
    points = np.array(vertices)
    points[first] = middles
    moved = float(lengths(vertices[rim] - middles[label]).max())
    return _cleaned(Mesh(points, place[start.mesh.triangles]), len(rim) - count, moved, start.dropped)


def _cleaned(surface: Mesh, merged: int = 0, moved: float = 0.0, dropped: int = 0) -> Welded:
    """Drop triangles of fewer than three corners, all but one on the same three, and unused vertices."""
    kept: Indices = surface.triangles[~collapsed_triangles(surface.triangles)]
    if len(kept):
        _, first = np.unique(np.sort(kept, axis=1), axis=0, return_index=True)
        if len(first) < len(kept):
            kept = kept[np.sort(first)]
    lost = len(surface.triangles) - len(kept)
    return Welded(Mesh(surface.vertices, kept).compact(), merged, moved, dropped + lost)
