"""Making one vertex of those that are meant to be one, and dropping triangles that then mean nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.closedness import collapsed_triangles, merge_equal

REACHES = (1e-6, 1e-5, 1e-4, 3e-4, 1e-3)
"""Distances tried, as shares of the sculpt's extent: up to 0.1 mm on a hold of 100 mm."""

_OF_EDGE = 0.3
"""No farther than this share of a short open edge, lest faces vanish that are meant."""


@dataclass(frozen=True, eq=False)
class Welded:
    """A surface after welding.

    Attributes
    ----------
    vertices, triangles
        (n, 3) float64 and (m, 3) int64; every vertex is used.
    merged
        Vertices that were not equal, but so close to others that they were made one.
    moved
        The farthest that took one of them.
    dropped
        Triangles left out: of fewer than three different corners, or there already.
    """

    vertices: Floats
    triangles: Indices
    merged: int = 0
    moved: float = 0.0
    dropped: int = 0


def welded(vertices: Floats, triangles: Indices) -> tuple[Floats, Indices]:
    """Make vertices with equal coordinates one (minus zero equals zero)."""
    distinct, which = merge_equal(np.ascontiguousarray(vertices, dtype=np.float64))
    return distinct, which[triangles]


def together(surfaces: Sequence[tuple[Floats, Indices]]) -> tuple[Floats, Indices]:
    """Put surfaces into one, their vertices numbered on."""
    shifts = np.cumsum([0, *(len(vertices) for vertices, _ in surfaces[:-1])])
    return (
        np.vstack([vertices for vertices, _ in surfaces]),
        np.vstack([triangles + shift for (_, triangles), shift in zip(surfaces, shifts, strict=True)]),
    )


def weld(vertices: Floats, triangles: Indices, extent: float) -> Welded:
    """Weld equal vertices, then close ones along open edges as far as that closes any.

    Parameters
    ----------
    vertices, triangles
        A surface in any state.
    extent
        Largest size of the sculpt, to which the distances are tied.
    """
    points, faces = welded(vertices, triangles)
    faces, dropped = _meant(faces)
    best = _compact(Welded(points, faces, dropped=dropped))
    fewest = len(open_edges(best.triangles, len(best.vertices)))
    start = best
    for share in REACHES:
        if fewest == 0:
            break
        near = _within(start, share * extent)
        if near is None:
            continue
        left = len(open_edges(near.triangles, len(near.vertices)))
        if left < 0.9 * fewest:
            best, fewest = near, left
    return best


def open_edges(triangles: Indices, vertex_count: int) -> Indices:
    """Give the (k, 2) edges that only one triangle uses, lesser vertex first."""
    start, end = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
    key = np.sort(np.minimum(start, end) * vertex_count + np.maximum(start, end))
    if len(key) == 0:
        return np.zeros((0, 2), dtype=np.int64)
    alone = np.concatenate(([True], key[1:] != key[:-1]))
    alone &= np.concatenate((key[1:] != key[:-1], [True]))
    return np.stack(np.divmod(key[alone], vertex_count), axis=1)


def _within(start: Welded, reach: float) -> Welded | None:
    """Make vertices on open edges one within `reach`; None when that would harm or do nothing."""
    edges = open_edges(start.triangles, len(start.vertices))
    lengths = np.linalg.norm(start.vertices[edges[:, 0]] - start.vertices[edges[:, 1]], axis=1)
    lengths = lengths[lengths > reach * 1e-3]
    if len(lengths) and reach > _OF_EDGE * float(np.quantile(lengths, 0.1)):
        return None
    rim = np.unique(edges)
    pairs = cKDTree(start.vertices[rim]).query_pairs(reach, output_type="ndarray")
    if len(pairs) == 0:
        return None
    links = coo_array((np.ones(len(pairs), dtype=np.int8), tuple(pairs.T)), shape=(len(rim),) * 2)
    count, label = connected_components(links, directed=False)
    sums = np.stack(
        [np.bincount(label, weights=column, minlength=count) for column in start.vertices[rim].T], axis=1
    )
    middles = sums / np.bincount(label, minlength=count)[:, None]
    place = np.arange(len(start.vertices))
    first = np.full(count, len(place))
    np.minimum.at(first, label, rim)
    place[rim] = first[label]
    points = np.array(start.vertices)
    points[first] = middles
    moved = float(np.linalg.norm(start.vertices[rim] - middles[label], axis=1).max())
    faces, dropped = _meant(place[start.triangles])
    return _compact(Welded(points, faces, len(rim) - count, moved, start.dropped + dropped))


def _meant(triangles: Indices) -> tuple[Indices, int]:
    """Drop triangles of fewer than three corners and all but the first on the same three."""
    kept = triangles[~collapsed_triangles(triangles)]
    if len(kept):
        ordered = np.sort(kept, axis=1)
        _, first = np.unique(ordered, axis=0, return_index=True)
        if len(first) < len(kept):
            kept = kept[np.sort(first)]
    return kept, len(triangles) - len(kept)


def _compact(surface: Welded) -> Welded:
    """Leave out vertices that no triangle uses."""
    used, compact = np.unique(surface.triangles, return_inverse=True)
    return Welded(
        surface.vertices[used], compact.reshape(-1, 3), surface.merged, surface.moved, surface.dropped
    )
