"""Polygon faces, convex or not, cut into triangles that use every corner and match every edge."""

import numpy as np
from manifold3d import triangulate as ear_clip

from holdwright.errors import GeometryError
from holdwright.geometry.sculpt import Floats, Indices

_CHUNK = 1 << 20
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
    Triangles pass; a quad is cut by its first diagonal if that lies inside, else by the other; a larger polygon
    is cut as a fan round its first corner if that lies inside. What is left is laid along the axis nearest its
    normal (Newell's; Sutherland, Sproull and Schumacker, A characterization of ten hidden-surface algorithms,
    ACM Computing Surveys 6, 1974), which rounds nothing, and cut by ear clipping.
    """
    if (sizes == 3).all():
        return corners.reshape(-1, 3), None
    starts = np.cumsum(sizes) - sizes
    triangles: list[Indices] = []
    polygon_of: list[Indices] = []
    hard: list[Indices] = []
    for size in np.unique(sizes).tolist():
        polygons = np.flatnonzero(sizes == size)
        step = max(1, _CHUNK // size)
        for chunk in (polygons[first : first + step] for first in range(0, len(polygons), step)):
            cut, easy = _cut_alike(vertices, corners[starts[chunk][:, None] + np.arange(size)])
            triangles.append(cut.reshape(-1, 3))
            polygon_of.append(np.repeat(chunk[easy], size - 2))
            hard.append(chunk[~easy])
    for polygon in _affordable(np.concatenate(hard), sizes):
        ring = corners[starts[polygon] : starts[polygon] + sizes[polygon]]
        triangles.append(ring[_clip(vertices[ring])])
        polygon_of.append(np.full(len(ring) - 2, polygon))
    owners = np.concatenate(polygon_of)
    order = np.argsort(owners, kind="stable")
    return np.concatenate(triangles)[order], owners[order]


def _affordable(hard: Indices, sizes: Indices) -> list[int]:
    if float((sizes[hard].astype(np.float64) ** 2).sum()) > _WORK_LIMIT:
        largest = int(sizes[hard].max())
        raise GeometryError(f"Its faces that are not convex have too many corners, up to {largest:,} in one.")
    return [int(polygon) for polygon in hard]


def _cut_alike(vertices: Floats, rings: Indices) -> tuple[Indices, np.ndarray]:
    """Cut (n, size) rings where a fan or diagonal will do; gives (e, size - 2, 3) and which (n,) were cut."""
    size = rings.shape[1]
    if size == 3:
        return rings[:, None, :], np.ones(len(rings), dtype=bool)
    good = _fan_lies_inside(vertices, rings)
    if size == 4:
        turned = np.roll(rings[~good], -1, axis=1)
        rings = rings.copy()
        # A quad that neither diagonal fits has no inside (it is flat or crosses itself): either is as good.
        rings[~good] = np.where(_fan_lies_inside(vertices, turned)[:, None], turned, rings[~good])
        good = np.ones(len(rings), dtype=bool)
    return _fan(rings[good]), good


def _fan(rings: Indices) -> Indices:
    last = rings.shape[1] - 1
    first = np.broadcast_to(rings[:, :1], (len(rings), last - 1))
    return np.stack([first, rings[:, 1:last], rings[:, 2:]], axis=2)


def _fan_lies_inside(vertices: Floats, rings: Indices) -> np.ndarray:
    """Tell for (n, size) rings whether all triangles round the first corner face the way the polygon does."""
    spokes = vertices[rings[:, 1:]] - vertices[rings[:, :1]]
    areas = np.cross(spokes[:, :-1], spokes[:, 1:])
    normal = areas.sum(axis=1, keepdims=True)
    return np.asarray(((areas * normal).sum(axis=2) > 0.0).all(axis=1))


def _clip(points: Floats) -> Indices:
    """Cut one (n, 3) polygon into (n - 2, 3) triangles of its corners, 0 to n - 1."""
    spokes = points - points[0]
    normal = np.cross(spokes[1:-1], spokes[2:]).sum(axis=0)
    axis = int(np.argmax(np.abs(normal)))
    kept = [(axis + 1) % 3, (axis + 2) % 3]
    flat = spokes[:, kept if normal[axis] > 0.0 else kept[::-1]]
    triangles: Indices = np.asarray(ear_clip([np.ascontiguousarray(flat)]), dtype=np.int64).reshape(-1, 3)
    if len(triangles) != len(points) - 2:
        return np.asarray(_fan(np.arange(len(points))[None, :])[0])
    return triangles
