"""Which triangles of a raw sculpt belong to which piece, and where the raw surface is open."""

from collections.abc import Sequence

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.weld import open_edges, welded

SAME = 1e-4
"""Boxes are one and the same whose corners are no further apart than this share of the extent."""


def owners(group: Piece, boxes: Floats) -> Indices:
    """Tell of each triangle of a group which of some pieces it belongs to.

    Pieces are known by their boxes alone, for mending may have moved their vertices a little.

    Parameters
    ----------
    group
        As read.
    boxes
        (n, 2, 3) least and greatest corners of the pieces that may be meant; at least one.

    Returns
    -------
    Indices
        (m,) index into `boxes`.
    """
    if len(boxes) == 1:
        return np.zeros(len(group.triangles), dtype=np.int64)
    vertices, triangles = welded(group.vertices, group.triangles)
    part, label = _by_edges(triangles, len(vertices))
    corners = vertices[triangles]
    low = np.full((part, 3), np.inf)
    high = np.full((part, 3), -np.inf)
    np.minimum.at(low, label, corners.min(axis=1))
    np.maximum.at(high, label, corners.max(axis=1))
    return _owner(np.stack([low, high], axis=1), boxes)[label]


def open_lines(groups: Sequence[Piece]) -> Floats:
    """Give the edges that one triangle alone uses, groups that share an edge taken together.

    Returns
    -------
    Floats
        (k, 2, 3).
    """
    if not groups:
        return np.zeros((0, 2, 3))
    shifts = np.cumsum([0, *(len(group.vertices) for group in groups[:-1])])
    vertices, triangles = welded(
        np.concatenate([group.vertices for group in groups]),
        np.concatenate([group.triangles + shift for group, shift in zip(groups, shifts, strict=True)]),
    )
    return np.asarray(vertices[open_edges(triangles, len(vertices))])


def _by_edges(triangles: Indices, vertex_count: int) -> tuple[int, Indices]:
    """Part triangles into surfaces that hang together by edges: how many, and (m,) which each is of."""
    count = len(triangles)
    start, end = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
    key = np.minimum(start, end) * vertex_count + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    same = key[order[1:]] == key[order[:-1]]
    one, other = order[:-1][same] // 3, order[1:][same] // 3
    links = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(count, count))
    parts, label = connected_components(links, directed=False)
    return int(parts), label.astype(np.int64)


def _owner(parts: Floats, boxes: Floats) -> Indices:
    """Give for each part the piece of the same box, else the smallest it lies within, else the nearest."""
    extent = float((boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0)).max())
    gap, nearest = cKDTree(boxes.reshape(-1, 6)).query(parts.reshape(-1, 6), p=np.inf)
    found = np.asarray(nearest, dtype=np.int64)
    diagonal = np.linalg.norm(boxes[:, 1] - boxes[:, 0], axis=1)
    slack = SAME * extent
    for number in np.flatnonzero(gap > slack):
        low, high = parts[number]
        within = (boxes[:, 0] <= low + slack).all(axis=1) & (high <= boxes[:, 1] + slack).all(axis=1)
        if within.any():
            found[number] = int(np.argmin(np.where(within, diagonal, np.inf)))
    return found
