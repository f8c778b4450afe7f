"""Where a closed surface touches itself along an edge: telling the leaves that meet there apart.

Such an edge is used by four or more triangles once equal vertices are one. Where vertices are listed by
number, every edge should join exactly two triangles (3MF core specification, object resources: manifold
edges), which holds again when each leaf has vertices of its own, equal in place.
"""

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import (
    any_corner,
    edge_uses,
    linked_sets,
    side_ends,
    side_keys,
    sides_by_edge,
)


def part_contacts(points: NDArray[np.float32], faces: Indices) -> tuple[NDArray[np.float32], Indices]:
    """Give the leaves that meet in a contact edge vertices of their own.

    Parameters
    ----------
    points
        (n, 3) vertices, all different.
    faces
        (m, 3) triangles, every edge used equally often in both directions.

    Returns
    -------
    tuple
        (k, 3) vertices, k at least n, and (m, 3) triangles of the same surface.
    """
    edge, uses, _ = edge_uses(faces, len(points))
    contacts = edge[uses > 2]
    if len(contacts) == 0:
        return points, faces
    marked = np.zeros(len(points), dtype=bool)
    marked[contacts // len(points)] = marked[contacts % len(points)] = True
    near = np.flatnonzero(any_corner(marked, faces))
    leaf = _leaves(np.asarray(points, dtype=np.float64), faces[near], contacts, len(points))
    return _detoured(*_renumbered(points, faces, near, marked, leaf))


def _leaves(points: Floats, faces: Indices, contacts: Indices, stride: int) -> NDArray[np.int64]:
    """Label the (3 k) corners of k triangles: equal labels reach each other without crossing a contact."""
    after = side_ends(np.arange(faces.size).reshape(-1, 3))[1]
    key = side_keys(faces, stride)
    order, bounds = sides_by_edge(faces, stride)
    plain = bounds[:-1][np.diff(bounds) == 2]
    sides = [(order[plain], order[plain + 1])]
    for contact in contacts.tolist():
        around = np.flatnonzero(key == contact)
        sides.append(_wedges(points, faces, around, contact // stride, contact % stride))
    one = np.concatenate([pair[0] for pair in sides])
    two = np.concatenate([pair[1] for pair in sides])
    # side `one` runs from u to v and side `two` from v to u: the start of each is the end of the other
    return linked_sets(np.concatenate([one, after[one]]), np.concatenate([after[two], two]), faces.size)[1]


def _wedges(points: Floats, faces: Indices, around: Indices, u: int, v: int) -> tuple[Indices, Indices]:
    """Pair the sides round edge u-v so that each pair bounds one wedge of material.

    Turning about the edge by the right hand, material begins behind a triangle that runs from v to u and ends
    at the next that runs from u to v.
    """
    axis = points[v] - points[u]
    axis /= np.linalg.norm(axis)
    third = faces[around // 3, (around + 2) % 3]
    across = points[third] - points[u]
    across -= np.outer(across @ axis, axis)
    x = across[0] / np.linalg.norm(across[0])
    angle = np.arctan2(across @ np.cross(axis, x), across @ x)
    forward = faces.ravel()[around] == u
    order = np.lexsort((~forward, angle))
    depth = np.cumsum(np.where(forward[order], -1, 1))  # beginnings and ends match like brackets
    begun: list[int] = []
    pairs: list[tuple[int, int]] = []
    for side in np.roll(order, -int(np.argmin(depth)) - 1).tolist():
        if forward[side]:
            pairs.append((side, begun.pop()))
        else:
            begun.append(side)
    ends, begins = np.array(pairs, dtype=np.int64).T
    return around[ends], around[begins]


def _renumbered(
    points: NDArray[np.float32],
    faces: Indices,
    near: Indices,
    marked: NDArray[np.bool_],
    leaf: NDArray[np.int64],
) -> tuple[NDArray[np.float32], Indices]:
    """Give each further leaf at a marked vertex a vertex of its own."""
    corners = faces[near].ravel()
    at = np.flatnonzero(marked[corners])
    pairs, which = np.unique(np.stack([corners[at], leaf[at]], axis=1), axis=0, return_inverse=True)
    again = np.concatenate(([False], pairs[1:, 0] == pairs[:-1, 0]))
    number = np.where(again, len(points) + np.cumsum(again) - 1, pairs[:, 0])
    corners[at] = number[which.ravel()]
    faces = faces.copy()
    faces[near] = corners.reshape(-1, 3)
    return np.concatenate([points, points[pairs[again, 0]]]), faces


def _detoured(points: NDArray[np.float32], faces: Indices) -> tuple[NDArray[np.float32], Indices]:
    """Lead the leaves that still share an edge, as they hang together at both its ends, over its middle.

    The first leaf keeps the edge; each further one gets a vertex of its own in the middle of it.
    """
    stride = len(points)
    edge, uses, _ = edge_uses(faces, stride)
    for u, v in (divmod(crowded, stride) for crowded in edge[uses > 2].tolist()):
        start, end = side_ends(faces)
        around = np.flatnonzero(((start == u) & (end == v)) | ((start == v) & (end == u)))
        middle = (points[[u]] + points[[v]]) / np.float32(2.0)
        for sides in list(
            zip(*_wedges(np.asarray(points, dtype=np.float64), faces, around, u, v), strict=True)
        )[1:]:
            faces = _over_the_middle(faces, np.array(sides), len(points))
            points = np.concatenate([points, middle])
    return points, faces


def _over_the_middle(faces: Indices, sides: Indices, middle: int) -> Indices:
    """Halve the triangles of these sides (numbered 3 * triangle + place) at vertex `middle`."""
    halved, place = np.divmod(sides, 3)
    second = faces[halved]
    second[np.arange(len(sides)), place] = middle
    faces = np.concatenate([faces, second])
    faces[halved, (place + 1) % 3] = middle
    return faces
