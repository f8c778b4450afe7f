"""Making a coarse patch over a hole as fine as its rim, and as smooth as the surface round it."""

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.linalg import spsolve

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import open_edges, side_ends, side_keys, sides_by_edge

_PASSES = 24
_ACROSS = 48.0
"""A large patch is made no finer than this share of its span."""


def faired(
    vertices: Floats, around: Indices, patch: Indices, number: int, *, bent: bool
) -> tuple[Floats, Indices]:
    """Refine a patch to the spacing of its rim and smooth it.

    Parameters
    ----------
    vertices
        (n, 3) of the surface.
    around
        (m, 3) its triangles at the rim: they give the direction in which the patch starts.
    patch
        (k, 3) triangles over rim vertices alone.
    number
        Number of the first new vertex.
    bent
        Whether it runs on from the surface round it; else it is a soap film, as flat as its rim lets it.

    Returns
    -------
    tuple
        (j, 3) new vertices, and the triangles of the finer patch.

    Notes
    -----
    The film solves the discrete Laplace equation, the bent patch the bi-Laplace equation (P. Liepa, Filling
    holes in meshes, SGP 2003; L. Kobbelt et al., Interactive multi-resolution modeling, SIGGRAPH 1998); where
    that swings far out the film is taken.
    """
    rim, local = np.unique(patch, return_inverse=True)
    points, faces = _refined(vertices[rim], local.reshape(-1, 3))
    count = len(rim)
    if len(points) == count:
        return vertices[:0], patch
    free = np.arange(count, len(points))
    film = _solved(_laplacian(faces, len(points)), points, free)
    final = _bent(vertices, around, rim, film, faces) if bent else film
    numbers = np.concatenate([rim, number + np.arange(len(free))])
    return final[count:], numbers[faces]


def _bent(vertices: Floats, around: Indices, rim: Indices, film: Floats, faces: Indices) -> Floats:
    """Bend a film so that it leaves its rim as the surface round it arrives there."""
    outer = np.setdiff1d(around, rim)
    on_rim = np.isin(around, rim)
    near = np.where(on_rim, np.searchsorted(rim, around), len(film) + np.searchsorted(outer, around))
    laplace = _laplacian(np.concatenate([faces, near]), len(film) + len(outer))
    known = np.concatenate([film, vertices[outer]])
    bent = _solved((laplace @ laplace).tocsr(), known, np.arange(len(rim), len(film)))[: len(film)]
    span = float(np.linalg.norm(np.ptp(film[: len(rim)], axis=0)))
    swing = float(np.linalg.norm(bent - film, axis=1).max())
    return bent if swing < 0.35 * span else film


def _solved(matrix: csr_array, points: Floats, free: Indices) -> Floats:
    fixed = np.setdiff1d(np.arange(len(points)), free)
    rows = matrix[free]
    answer = spsolve(rows[:, free].tocsc(), -(rows[:, fixed] @ points[fixed]))
    solved = np.array(points)
    solved[free] = answer.reshape(-1, 3)
    return solved


def _laplacian(faces: Indices, count: int) -> csr_array:
    """Give each vertex's mean neighbour less itself, as a matrix."""
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    both = np.concatenate([ends, ends[:, ::-1]])
    links = coo_array((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(count, count)).tocsr()
    links.data[:] = 1.0
    degree = np.maximum(np.asarray(links.sum(axis=1)).ravel(), 1.0)
    scaled = coo_array((1.0 / degree, (np.arange(count), np.arange(count))), shape=(count, count)).tocsr()
    one = coo_array((np.ones(count), (np.arange(count), np.arange(count))), shape=(count, count))
    return csr_array(scaled @ links - one)


def _refined(points: Floats, faces: Indices) -> tuple[Floats, Indices]:
    """Split long inner edges and turn bad ones until the patch is as fine as its rim."""
    ring = points[open_edges(faces, len(points))]
    spacing = float(np.median(np.linalg.norm(ring[:, 0] - ring[:, 1], axis=1)))
    span = float(np.linalg.norm(np.ptp(points, axis=0)))
    goal = max(spacing, span / _ACROSS) * 1.4
    for _ in range(_PASSES):
        faces = _turned(points, faces)
        split = _split(points, faces, goal)
        if split is None:
            break
        points, faces = split
    return points, _turned(points, faces)


def _inner_edges(faces: Indices) -> tuple[Indices, Indices, Indices, Indices]:
    """Give inner edges (k, 2) as wound in the first face, both faces and both opposite corners (k, 2)."""
    start, end = side_ends(faces)
    opposite = faces[:, [2, 0, 1]].ravel()
    order, run = sides_by_edge(faces, int(faces.max()) + 1)
    pair = run[:-1][np.diff(run) == 2]
    one, other = order[pair], order[pair + 1]
    edge = np.stack([start[one], end[one]], axis=1)
    return edge, one // 3, other // 3, np.stack([opposite[one], opposite[other]], axis=1)


def _free_of_each_other(first: Indices, second: Indices, rank: Floats, count: int) -> Indices:
    """Choose edges that are the foremost by `rank` in both their faces."""
    order = np.argsort(-rank, kind="stable")
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    foremost = np.full(count, len(order))
    np.minimum.at(foremost, first, place)
    np.minimum.at(foremost, second, place)
    return np.flatnonzero((foremost[first] == place) & (foremost[second] == place))


def _split(points: Floats, faces: Indices, goal: float) -> tuple[Floats, Indices] | None:
    edge, first, second, opposite = _inner_edges(faces)
    length = np.linalg.norm(points[edge[:, 0]] - points[edge[:, 1]], axis=1)
    long = np.flatnonzero(length > goal)
    if len(long) == 0:
        return None
    chosen = long[_free_of_each_other(first[long], second[long], length[long], len(faces))]
    a, b = edge[chosen].T
    c, d = opposite[chosen].T
    new = len(points) + np.arange(len(chosen))
    kept = np.ones(len(faces), dtype=bool)
    kept[first[chosen]] = kept[second[chosen]] = False
    halves = [np.stack(corners, axis=1) for corners in ((a, new, c), (new, b, c), (b, new, d), (new, a, d))]
    middles = (points[a] + points[b]) / 2.0
    return np.concatenate([points, middles]), np.concatenate([faces[kept], *halves])


def _turned(points: Floats, faces: Indices) -> Indices:
    """Turn inner edges whose opposite angles sum to more than half a turn, as Delaunay's condition asks."""
    for _ in range(12):
        edge, first, second, opposite = _inner_edges(faces)
        if len(edge) == 0:
            return faces
        excess = _angle(points, opposite[:, 0], edge) + _angle(points, opposite[:, 1], edge) - np.pi
        there = np.sort(edge, axis=1)
        wanted = np.sort(opposite, axis=1)
        size = len(points)
        taken = np.isin(wanted[:, 0] * size + wanted[:, 1], side_keys(faces, size))
        bad = np.flatnonzero((excess > 1e-6) & ~taken & (there[:, 0] != there[:, 1]))
        if len(bad) == 0:
            return faces
        chosen = bad[_free_of_each_other(first[bad], second[bad], excess[bad], len(faces))]
        goal = wanted[chosen, 0] * size + wanted[chosen, 1]
        chosen = chosen[np.unique(goal, return_index=True)[1]]
        a, b = edge[chosen].T
        c, d = opposite[chosen].T
        faces = np.array(faces)
        faces[first[chosen]] = np.stack([c, a, d], axis=1)
        faces[second[chosen]] = np.stack([d, b, c], axis=1)
    return faces


def _angle(points: Floats, apex: Indices, edge: Indices) -> Floats:
    one, other = points[edge[:, 0]] - points[apex], points[edge[:, 1]] - points[apex]
    across = np.linalg.norm(np.cross(one, other), axis=1)
    return np.asarray(np.arctan2(across, np.einsum("ij,ij->i", one, other)))
