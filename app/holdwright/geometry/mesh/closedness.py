"""Whether a triangle mesh encloses a body, judged as a reader of the written file would judge it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.mesh.connectivity import collapsed_triangles, vertex_sets
from holdwright.geometry.mesh.mesh import Mesh

_MIX = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)
"""Odd 64-bit constants that spread the bits of three coordinates over one sorting key."""


@dataclass(frozen=True)
class Closedness:
    """What a mesh is once vertices of equal bits are made one."""

    closed: bool
    """At least one triangle, none degenerate, and every edge used equally often in both directions."""
    triangles: int
    """Number of triangles, degenerate ones included."""
    degenerate: int
    """Triangles of no area: two of the three corners are one vertex, or all three lie on a line."""
    unbalanced_edges: int
    """Edges used more often in one direction than in the other."""
    contact_edges: int
    """Edges used more than twice: places where the surface touches itself."""
    pieces: int
    """Connected surfaces."""
    volume: float
    area: float
    """volume and area: enclosed volume (signed: positive when facing outward) and area, in the cube and
    square of the unit."""


def closedness(vertices: NDArray[Any], triangles: NDArray[Any]) -> Closedness:
    """Judge a mesh as written.

    Parameters
    ----------
    vertices
        (n, 3) float32 or float64; equal bits are equal vertices, the two zeros too.
    triangles
        (m, 3) integer indices into `vertices`.
    """
    points, place = merge_equal(vertices)
    corners = place[np.asarray(triangles, dtype=np.int64).reshape(-1, 3)]
    collapsed = collapsed_triangles(corners)
    sound = Mesh(np.asarray(points, dtype=np.float64), corners[~collapsed])
    degenerate = int(collapsed.sum()) + int((sound.areas == 0.0).sum())
    uses, forward = sound.edges[1:]
    unbalanced = int((2 * forward != uses).sum())
    return Closedness(
        closed=len(sound.triangles) > 0 and degenerate == 0 and unbalanced == 0,
        triangles=len(corners),
        degenerate=degenerate,
        unbalanced_edges=unbalanced,
        contact_edges=int((uses > 2).sum()),
        pieces=len(np.unique(vertex_sets(sound.triangles, len(points))[1][sound.triangles[:, 0]])),
        volume=sound.volume,
        area=sound.area,
    )


def merge_equal(vertices: NDArray[Any]) -> tuple[NDArray[Any], NDArray[np.int64]]:
    """Make vertices of equal bits one.

    Parameters
    ----------
    vertices
        (n, 3) float32 or float64. Minus zero counts as zero.

    Returns
    -------
    tuple
        The (k, 3) different vertices in the order they first appear, and (n,) the place of each among them.
    """
    points = np.ascontiguousarray(vertices) + vertices.dtype.type(0.0)  # -0.0 + 0.0 is 0.0
    if len(points) == 0:
        return points, np.zeros(0, dtype=np.int64)
    bits = points.view(np.uint32 if points.dtype.itemsize == 4 else np.uint64)
    key = bits[:, 0] * _MIX[0] + bits[:, 1] * _MIX[1] + bits[:, 2] * _MIX[2]
    key ^= key >> np.uint64(29)  # keys whose upper bits differ sort faster
    first, group = _group(key)
    if not all((column[first][group] == column).all() for column in bits.T):
        # Two different vertices met on one key.
        first, group = _group(np.unique(bits, axis=0, return_inverse=True)[1].ravel())
    return points[first], group


def _group(key: NDArray[Any]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Give the first index of each different key, ascending, and for every index the number of its key."""
    order = np.argsort(key)
    ordered = key[order]
    fresh = np.concatenate(([True], ordered[1:] != ordered[:-1]))
    first = np.minimum.reduceat(order, np.flatnonzero(fresh))
    is_first = np.zeros(len(key), dtype=np.bool_)
    is_first[first] = True
    group = np.empty(len(key), dtype=np.int64)
    group[order] = (np.cumsum(is_first) - 1)[first][np.cumsum(fresh) - 1]
    return np.flatnonzero(is_first), group
