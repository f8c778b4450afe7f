"""Which triangles of a raw sculpt belong to which piece, and where the raw surface is open."""

from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import linked_sets, sides_by_edge
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.weld import welded

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
    surface = welded(group.mesh)
    part, label = _by_edges(surface)
    corners = surface.corners
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
    whole = welded(Mesh.joined([group.mesh for group in groups]))
    return np.asarray(whole.vertices[whole.open_edges])


def _by_edges(surface: Mesh) -> tuple[int, Indices]:
    """Part triangles into surfaces that hang together by edges: how many, and (m,) which each is of."""
    order, begin = sides_by_edge(surface.triangles, len(surface.vertices))
    same = np.delete(np.arange(len(order)), begin[:-1])
    return linked_sets(order[same - 1] // 3, order[same] // 3, len(surface.triangles))


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
