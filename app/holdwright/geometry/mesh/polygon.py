"""Polygon faces, convex or not, cut into triangles that use every corner and match every edge."""

import numpy as np
from manifold3d import triangulate as ear_clip
from numpy.typing import NDArray

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices

_CHUNK = 1 << 17
_MOST_TURNS = 12
_WORK_LIMIT = 1_000_000_000


def triangulate(vertices: Floats, corners: Indices, sizes: Indices) -> tuple[Indices, Indices | None]:
    """Cut polygons into triangles wound as the polygons are.

    A polygon of n corners gives n - 2 triangles, whose outer edges are exactly the polygon's, even where
    corners are in line: a closed polygon mesh stays closed.

    Parameters
    ----------
    vertices
        (v, 3) float64. Those used must be finite.
    corners
        (k,) int64 indices into `vertices`, polygon after polygon.
    sizes
        (n,) int64 corners in each polygon, each at least 3.

    Returns
    -------
    Triangles (m, 3) int64 in the order of the polygons, and (m,) the polygon each came from, or None where
    every polygon was a triangle.

    Raises
    ------
    GeometryError
        When polygons that are not convex have so many corners that clipping them would take minutes.

    Notes
    -----
    A polygon is cut as a fan round its first corner from which that lies inside it (of up to 12 corners each
    is tried, of more the first alone), so convex ones as everybody cuts them. What is left is laid along the
    axis nearest its normal (Newell's; Sutherland, Sproull and Schumacker, A characterization of ten
    hidden-surface algorithms, ACM Computing Surveys 6, 1974), which rounds nothing, and cut by ear clipping.
    """
    if (sizes == 3).all():
        return corners.reshape(-1, 3), None
    starts = np.cumsum(sizes) - sizes
    triangles: list[Indices] = []
    polygon_of: list[Indices] = []
    work = 0.0
    for size in np.unique(sizes).tolist():
        polygons = np.flatnonzero(sizes == size)
        step = max(1, _CHUNK // size)
        for chunk in (polygons[first : first + step] for first in range(0, len(polygons), step)):
            rings, seen = _seen_from_first(vertices, corners[starts[chunk][:, None] + np.arange(size)])
            work += float(np.count_nonzero(~seen)) * size**2
            if work > _WORK_LIMIT:
                raise GeometryError(f"Its faces that are not convex have too many corners, {size:,} in one.")
            for part, which in ((_fan(rings[seen]), seen), (_clipped(vertices, rings[~seen]), ~seen)):
                triangles.append(part)
                polygon_of.append(np.repeat(chunk[which], size - 2))
    owners, cut = np.concatenate(polygon_of), np.concatenate(triangles)
    if (np.diff(owners) >= 0).all():
        return cut, owners
    order = np.argsort(owners, kind="stable")
    return cut[order], owners[order]


def _seen_from_first(vertices: Floats, rings: Indices) -> tuple[Indices, NDArray[np.bool_]]:
    """Turn (n, size) rings so that a fan round the first corner lies inside; tells for which that is so."""
    size = rings.shape[1]
    rings = rings.copy()
    seen = np.zeros(len(rings), dtype=bool)
    for turn in range(size if size <= _MOST_TURNS else 1):
        rest = np.flatnonzero(~seen)
        if len(rest) == 0 or size == 3:
            break
        turned = np.roll(rings[rest], -turn, axis=1)
        inside = _fan_lies_inside(vertices, turned)
        rings[rest[inside]] = turned[inside]
        seen[rest] = inside
    return rings, seen | (size == 3)


def _fan_lies_inside(vertices: Floats, rings: Indices) -> NDArray[np.bool_]:
    """Tell for (n, size) rings whether all triangles round the first corner face the way the polygon does."""
    ways = np.ascontiguousarray(rings.T)  # sums over a few corners are quick along the first axis alone
    x, y, z = (column[ways[1:]] - column[ways[0]] for column in vertices.T)
    areas = (
        y[:-1] * z[1:] - z[:-1] * y[1:],
        z[:-1] * x[1:] - x[:-1] * z[1:],
        x[:-1] * y[1:] - y[:-1] * x[1:],
    )
    facing = sum((area * area.sum(axis=0) for area in areas), start=np.zeros(areas[0].shape))
    return np.asarray((facing > 0.0).all(axis=0))


def _fan(rings: Indices) -> Indices:
    """Cut (n, size) rings into (n * (size - 2), 3) triangles round their first corners."""
    last = rings.shape[1] - 1
    first = np.broadcast_to(rings[:, :1], (len(rings), last - 1))
    return np.stack([first, rings[:, 1:last], rings[:, 2:]], axis=2).reshape(-1, 3)


def _clipped(vertices: Floats, rings: Indices) -> Indices:
    """Cut (n, size) rings of any shape into (n * (size - 2), 3) triangles by ear clipping."""
    points = vertices[rings] - vertices[rings[:, :1]]
    normals = np.cross(points[:, 1:-1], points[:, 2:]).sum(axis=1)
    axes = np.argmax(np.abs(normals), axis=1)
    kept = np.stack([(axes + 1) % 3, (axes + 2) % 3], axis=1)
    inward = normals[np.arange(len(rings)), axes] < 0.0
    kept[inward] = kept[inward, ::-1]
    flat = np.take_along_axis(points, kept[:, None, :], axis=2)
    triangles = [ring[_clip(outline)] for ring, outline in zip(rings, flat, strict=True)]
    return np.concatenate([np.zeros((0, 3), dtype=np.int64), *triangles])


def _clip(outline: Floats) -> Indices:
    """Cut one (n, 2) outline, wound positively, into (n - 2, 3) triangles of its corners, 0 to n - 1."""
    triangles: Indices = np.asarray(ear_clip([outline]), dtype=np.int64)
    if len(triangles) != len(outline) - 2:
        return _fan(np.arange(len(outline))[None, :])
    return triangles
