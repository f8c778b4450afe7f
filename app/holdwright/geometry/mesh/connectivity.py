"""Edges of triangles and what hangs together, on bare index arrays."""

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.arrays import Indices, Mask


def linked_sets(first: Indices, second: Indices, count: int) -> tuple[int, Indices]:
    """Give how many sets links (k,) from `first` to `second` make of `count` things, and the set of each."""
    links = coo_array((np.ones(len(first), dtype=np.int8), (first, second)), shape=(count, count))
    number, label = connected_components(links, directed=False)
    return int(number), label.astype(np.int64, copy=False)


def vertex_sets(triangles: Indices, vertex_count: int) -> tuple[int, Indices]:
    """Give how many sets edges make of the vertices (an unused one is a set), and the set of each (n,)."""
    ends = np.concatenate([triangles[:, :2], triangles[:, 1:]])
    return linked_sets(ends[:, 0], ends[:, 1], vertex_count)


def triangle_sets(triangles: Indices) -> Indices:
    """Give for each of a few triangles (m, 3) of a large mesh its set of those joined by a vertex, (m,)."""
    names, local = np.unique(triangles, return_inverse=True)
    return vertex_sets(local.reshape(-1, 3), len(names))[1][local.reshape(-1, 3)[:, 0]]


def grouped(labels: Indices) -> list[Indices]:
    """Give the places of each label that occurs, in order of the labels."""
    order = np.argsort(labels, kind="stable")
    return list(np.split(order, np.flatnonzero(np.diff(labels[order])) + 1)) if len(labels) else []


def side_ends(triangles: Indices) -> tuple[Indices, Indices]:
    """Give where the 3 m sides of triangles start and end; side 3 t + k runs from corner k of triangle t."""
    return triangles.ravel(), triangles[:, [1, 2, 0]].ravel()


def side_keys(triangles: Indices, vertex_count: int) -> Indices:
    """Give the edge of each of the 3 m sides: lesser vertex times `vertex_count` plus greater vertex."""
    start, end = side_ends(triangles)
    return np.asarray(np.minimum(start, end) * vertex_count + np.maximum(start, end))


def sides_by_edge(triangles: Indices, vertex_count: int) -> tuple[Indices, Indices]:
    """Give the 3 m sides in order of their edge, and where each edge's sides begin, with the end at last."""
    key = side_keys(triangles, vertex_count)
    order = np.argsort(key, kind="stable")
    return order, np.flatnonzero(np.concatenate(([True], np.diff(key[order]) != 0, [True])))


def edge_uses(triangles: Indices, vertex_count: int) -> tuple[Indices, Indices, Indices]:
    """Count how often each edge is used.

    Returns
    -------
    tuple
        For each edge: (k,) key as `side_keys` gives it, ascending; (k,) number of uses; (k,) how many of them
        run from the lesser vertex to the greater.
    """
    start, end = side_ends(triangles)
    key = np.sort(2 * side_keys(triangles, vertex_count) + (start < end))
    edge = key >> 1
    first = np.flatnonzero(np.concatenate(([True], edge[1:] != edge[:-1]))) if len(edge) else edge
    forward = np.add.reduceat(key & 1, first) if len(edge) else edge
    return edge[first], np.diff(first, append=len(edge)), forward


def open_edges(triangles: Indices, vertex_count: int) -> Indices:
    """Give the (k, 2) edges that only one triangle uses, lesser vertex first."""
    edge, uses, _ = edge_uses(triangles, vertex_count)
    return np.stack(np.divmod(edge[uses == 1], vertex_count), axis=1)


def collapsed_triangles(triangles: Indices) -> Mask:
    """Mark the (m,) triangles that name a vertex twice."""
    a, b, c = triangles.T
    return np.asarray((a == b) | (b == c) | (c == a))


def any_corner(chosen: Mask, triangles: Indices) -> Mask:
    """Mark the (m,) triangles that have a corner among the chosen vertices (n,)."""
    return np.asarray(chosen[triangles[:, 0]] | chosen[triangles[:, 1]] | chosen[triangles[:, 2]])
