"""From a bare mesh to one that takes light and ink: a normal at each corner, and the edges worth a line."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix, identity

from holdwright.geometry.mesh.connectivity import linked_sets, side_ends, side_keys
from holdwright.geometry.mesh.mesh import cross_products
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import long_lines

Floats = NDArray[np.float32]
Indices = NDArray[np.int64]

SHARP: Final = float(np.cos(np.radians(40.0)))
"""Faces that meet at a greater angle meet in an edge; others are one smooth surface."""

NEAR: Final = 0.3
"""Points share half of what they know and more when closer than about this share of the usual edge."""


@dataclass(frozen=True, eq=False)
class SurfaceMesh:
    """Triangles ready to be drawn."""

    points: Floats
    normals: Floats
    """points and normals: (n, 3) float32: mm and unit vectors; where the surface has an edge, points lie
    one on another."""
    triangles: Indices
    """(m, 3) int64."""
    vertex: Indices
    """(n,) which vertex of the bare mesh a point is."""
    lines: Indices
    """(k, 2) points at both ends of each edge to be inked."""
    hollow: Floats
    """(n,) float32: how hollow the surface is there (positive) or how much it stands out, about -1 to 1."""


def surface_mesh(surface: Surface, *, fine: bool = True) -> SurfaceMesh:
    """Make a surface ready to be drawn.

    Parameters
    ----------
    fine
        False saves most of the time: one normal per vertex, no edges and no hollows.
    """
    vertices, triangles = surface.vertices, surface.triangles.astype(np.int64)
    areas = cross_products(vertices, triangles)
    count = len(vertices)
    if not fine or not len(triangles):
        normals = _unit(_summed(triangles, areas, count))
        everyone = np.arange(count, dtype=np.int64)
        none = np.zeros((0, 2), dtype=np.int64)
        return SurfaceMesh(vertices, normals, triangles, everyone, none, np.zeros(count, dtype=np.float32))
    seams = _Seams.found(vertices, triangles, areas)
    split, vertex = _split(triangles, seams, count)
    points, sums = vertices[vertex], _summed(split, areas, len(vertex))
    sums, hollow = _smoothed(points, split, sums, _hollow(vertices, triangles, areas)[vertex])
    size = float(np.ptp(vertices, axis=0).max())
    # Edges that do not add up to this share of the mesh's size are noise.
    lines = long_lines(vertices, seams.ends[seams.sharp], 0.08 * size)
    return SurfaceMesh(points, _unit(sums), split, vertex, lines, hollow)


@dataclass(frozen=True, eq=False)
class _Seams:
    """Where two triangles meet along an edge."""

    ends: Indices
    """(e, 2) the vertices of the edge."""
    corners: Indices
    """(e, 4) the corners (3 * triangle + place) at the first end in both triangles, then at the second."""
    sharp: NDArray[np.bool_]
    """(e,) whether the surface bends sharply there."""

    @classmethod
    def found(cls, vertices: Floats, triangles: Indices, areas: Floats) -> "_Seams":
        start, stop = side_ends(triangles)
        key = side_keys(triangles, len(vertices))
        order = np.argsort(key, kind="stable")
        same = key[order[1:]] == key[order[:-1]]
        # Of edges used more than twice only neighbours in the order are paired: good enough for a drawing.
        first, second = order[:-1][same], order[1:][same]
        one, other = first // 3, second // 3
        ends = np.stack([start[first], stop[first]], axis=1)
        normals = _unit(_with_slivers_settled(vertices, triangles, areas, (one, other, ends)))
        sharp = np.einsum("ij,ij->i", normals[one], normals[other]) < SHARP
        corners = np.stack([first, _corner(second, triangles, ends[:, 0])], axis=1)
        ahead = np.stack([_next(first), _corner(second, triangles, ends[:, 1])], axis=1)
        return cls(ends, np.concatenate([corners, ahead], axis=1), sharp)


def _next(corner: Indices) -> Indices:
    return np.asarray(corner - corner % 3 + (corner + 1) % 3, dtype=np.int64)


def _corner(edge: Indices, triangles: Indices, vertex: Indices) -> Indices:
    """Give the corner at `vertex` of the triangle whose edge starts at corner `edge`."""
    here = triangles.reshape(-1)[edge] == vertex
    return np.where(here, edge, _next(edge))


def _with_slivers_settled(
    vertices: Floats, triangles: Indices, areas: Floats, seams: tuple[Indices, Indices, Indices]
) -> Floats:
    """Give triangles too thin for a direction of their own that of the neighbour along their longest edge.

    Parameters
    ----------
    seams
        (e,) one triangle, (e,) the other, and (e, 2) the ends of the edge between them.
    """
    one, other, ends = seams
    span = np.linalg.norm(vertices[ends[:, 0]] - vertices[ends[:, 1]], axis=1)
    longest = np.zeros(len(triangles))
    np.maximum.at(longest, one, span)
    np.maximum.at(longest, other, span)
    thin = np.linalg.norm(areas, axis=1) < longest * float(np.ptp(vertices, axis=0).max()) * 1e-4
    mine, theirs = np.concatenate([one, other]), np.concatenate([other, one])
    near = np.flatnonzero(thin[mine] & (np.concatenate([span, span]) >= longest[mine]))
    # Twice, for slivers that lie along slivers.
    for _ in range(2):
        settled = areas.copy()
        settled[mine[near]] = areas[theirs[near]]
        areas = settled
    return areas


def _split(triangles: Indices, seams: _Seams, count: int) -> tuple[Indices, Indices]:
    """Give triangles whose points differ across sharp edges, and each point's vertex."""
    touched = np.zeros(count, dtype=bool)
    touched[seams.ends[seams.sharp].reshape(-1)] = True
    corner_vertex = triangles.reshape(-1)
    mine = np.flatnonzero(touched[corner_vertex])
    if not len(mine):
        return triangles, np.arange(count, dtype=np.int64)
    place = np.full(len(corner_vertex), -1, dtype=np.int64)
    place[mine] = np.arange(len(mine))
    pairs = place[seams.corners[~seams.sharp].reshape(-1, 2)]
    pairs = pairs[(pairs >= 0).all(axis=1)]
    groups, group = linked_sets(pairs[:, 0], pairs[:, 1], len(mine))
    vertex_of_group = np.zeros(groups, dtype=np.int64)
    vertex_of_group[group] = corner_vertex[mine]
    split = corner_vertex.copy()
    split[mine] = count + group
    return split.reshape(-1, 3), np.concatenate([np.arange(count, dtype=np.int64), vertex_of_group])


def _hollow(vertices: Floats, triangles: Indices, areas: Floats) -> Floats:
    """Measure hollows as a draughtsman sees them: how far the surface lies below its own blurred copy."""
    count = len(vertices)
    start, stop = side_ends(triangles)
    weight = np.linalg.norm(vertices[start] - vertices[stop], axis=1) + 1e-6
    one_way = coo_matrix((weight, (start, stop)), shape=(count, count)).tocsr()
    both = (one_way + one_way.T).astype(np.float32)
    sums = np.asarray(both.sum(axis=1)).reshape(-1, 1)
    blur = both.multiply(1.0 / np.maximum(sums, 1e-12)).tocsr()
    far = vertices
    for _ in range(12):
        far = blur @ far
    normals = _unit(_summed(triangles, areas, count))
    depth = np.einsum("ij,ij->i", far - vertices, normals)[:, None]
    for _ in range(10):
        depth = blur @ depth
    size = float(np.ptp(vertices, axis=0).max()) or 1.0
    return np.asarray(np.tanh(depth[:, 0] / (0.02 * size)), dtype=np.float32)


def _summed(triangles: Indices, areas: Floats, count: int) -> Floats:
    """Sum the area vectors round each point: faces count by their area, so that slivers do not show."""
    ends = np.arange(0, triangles.size + 1, 3, dtype=np.int32)
    ones = np.ones(triangles.size, dtype=np.float32)
    touching = csr_matrix((ones, triangles.reshape(-1).astype(np.int32), ends), shape=(len(triangles), count))
    return np.asarray(touching.T @ areas.astype(np.float32))


def _unit(vectors: NDArray[np.floating]) -> Floats:
    length = np.sqrt(np.einsum("ij,ij->i", vectors, vectors))[:, None]
    return np.asarray(vectors / np.maximum(length, 1e-30))


def _smoothed(points: Floats, triangles: Indices, areas: Floats, hollow: Floats) -> tuple[Floats, Floats]:
    """Give sums and hollows as points that are near each other along the surface agree on them.

    A chain of needles, as fusing and cutting leave them, parts a smooth surface in the drawing: points on
    either side of it learn from the triangles on their own side alone, and light would show a step where
    there is none. So points that are much closer together than points usually are share what they know.

    Parameters
    ----------
    points
        (n, 3); those to either side of a sharp edge are apart, and share nothing.
    areas
        (n, 3) area vectors of the triangles round each point, summed.
    hollow
        (n,) values, which count by the area they stand for.
    """
    start, stop = side_ends(triangles)
    way = points.take(start, axis=0) - points.take(stop, axis=0)
    square = np.einsum("ij,ij->i", way, way)
    scale = NEAR**2 * float(np.median(square))
    near = np.flatnonzero(square < 4.0 * scale)
    if not len(near):
        return areas, hollow
    weight = np.exp(-square[near] / max(scale, 1e-30)).astype(np.float32)
    count = len(points)
    one_way = coo_matrix((weight, (start[near], stop[near])), shape=(count, count)).tocsr()
    sharing = identity(count, dtype=np.float32, format="csr") + one_way.maximum(one_way.T)
    size = np.sqrt(np.einsum("ij,ij->i", areas, areas)) + np.float32(1e-12)
    weighted = hollow * size
    # Twice, for points that are near each other by way of a third.
    for _ in range(2):
        areas, weighted, size = sharing @ areas, sharing @ weighted, sharing @ size
    return areas, np.asarray(weighted / size, dtype=np.float32)
