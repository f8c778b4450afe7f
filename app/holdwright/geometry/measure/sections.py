"""Level sections of a solid, and the distance from upright lines to their outlines."""

from collections.abc import Sequence

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

Outlines = list[Floats]
"""Closed outlines (n, 2) of a section: material to the left, so outer ones run anticlockwise."""

FULL_SPACING = 3.0
"""Distance from the origin beyond which steps along outlines may be longer, mm."""

_AT_ONCE = 64
_NO_LENGTH = 1e-300
_SLACK = 1e-9


def section(solid: Solid, height: float) -> Outlines:
    """Cut a solid by the plane z = `height`; an empty list where it does not reach."""
    return [np.asarray(outline, dtype=np.float64) for outline in solid.kernel.slice(height).to_polygons()]


def outer(outlines: Outlines) -> Outlines:
    """Keep the outlines round material, drop those round holes in it."""
    return [outline for outline in outlines if signed_area(outline) > 0]


def signed_area(outline: Floats) -> float:
    """Area within a closed outline (n, 2), negative where it runs clockwise."""
    x, y = outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0


def centroid(outline: Floats) -> Floats:
    """Centroid (2,) of what a closed outline (n, 2) encloses."""
    origin = outline[0]
    here = outline - origin
    ahead = np.roll(here, -1, axis=0)
    cross = here[:, 0] * ahead[:, 1] - here[:, 1] * ahead[:, 0]
    return np.asarray(origin + cross @ (here + ahead) / (3.0 * cross.sum()))


def along(outlines: Outlines, spacing: float) -> Floats:
    """Give points (n, 2) along outlines, at most `spacing` mm apart, corners among them."""
    if not outlines:
        return np.empty((0, 2))
    start = np.concatenate(outlines)
    end = np.concatenate([np.roll(outline, -1, axis=0) for outline in outlines])
    return stepped(start, end, spacing)[0]


def stepped(start: Floats, end: Floats, spacing: float | Floats) -> tuple[Floats, Indices]:
    """Cut edges (n, 2) to (n, 2) into steps at most `spacing` mm long: where each starts, and its edge."""
    way = end - start
    parts = np.maximum(np.ceil(np.hypot(way[:, 0], way[:, 1]) / spacing), 1).astype(np.int64)
    edge, part = unrolled(parts)
    share = (part / parts[edge])[:, None]
    return np.asarray(start[edge] + share * way[edge]), edge


def stepped_near(start: Floats, end: Floats, reach: float | Floats, spacing: float) -> tuple[Floats, Indices]:
    """Cut what of edges lies near the origin into steps, longer ones the farther away it lies.

    Parameters
    ----------
    start, end
        (n, 2) mm.
    reach
        How near, mm; may be (n,), and infinite.
    spacing
        Longest step, mm, at `FULL_SPACING` from the origin and nearer. Farther out it grows with the root
        of the distance, so that the least distance of all points is nowhere more too large than there.

    Returns
    -------
    tuple
        (m, 2) where each step starts, and the number of its edge.
    """
    way = end - start
    length = np.hypot(way[:, 0], way[:, 1])
    wide = np.broadcast_to(np.asarray(reach) + _SLACK, length.shape)
    # No point of an edge is nearer than its start less its length; that leaves few to look at closely.
    some = np.flatnonzero(np.hypot(start[:, 0], start[:, 1]) - length <= wide)
    start, length, wide = start[some], length[some], wide[some]
    unit = way[some] / np.maximum(length, _NO_LENGTH)[:, None]
    foot = -np.einsum("ij,ij->i", start, unit)
    beside = np.hypot(*(start + foot[:, None] * unit).T)
    half = np.sqrt(np.maximum(wide * wide - beside * beside, 0.0))
    near = np.flatnonzero((beside <= wide) & (foot + half >= 0.0) & (foot - half <= length))
    start, unit, foot, length, half = start[near], unit[near], foot[near], length[near], half[near]
    first, last = np.clip(foot - half, 0.0, length), np.clip(foot + half, 0.0, length)
    least = np.hypot(beside[near], np.clip(foot, first, last) - foot)
    points, edge = stepped(
        start + first[:, None] * unit,
        start + last[:, None] * unit,
        spacing * np.sqrt(np.maximum(least / FULL_SPACING, 1.0)),
    )
    return points, some[near[edge]]


def level_edges(surface: Mesh, heights: Floats) -> tuple[Floats, Floats, Indices]:
    """Cut a closed surface at many heights at once, much faster than one by one.

    Parameters
    ----------
    surface
        mm, wound outward.
    heights
        (k,) ascending, mm.

    Returns
    -------
    tuple
        (e, 2) starts and (e, 2) ends of the outlines' edges, material to their left, and the (e,) number of
        the height each lies at.
    """
    vertices, triangles = surface.vertices, surface.triangles
    beyond = np.searchsorted(heights, vertices[:, 2]).astype(np.int32)
    of = [beyond[triangles[:, corner]] for corner in range(3)]
    first, last = np.minimum(np.minimum(of[0], of[1]), of[2]), np.maximum(np.maximum(of[0], of[1]), of[2])
    met = np.flatnonzero(last > first)
    which, level = unrolled((last - first)[met], first[met])
    triangle = met[which]
    a, b, c = (corner[triangle] > level for corner in of)
    # One corner is alone on its side of the height, and the two edges that meet in it are cut.
    alone = np.where(b == c, 0, np.where(a == c, 1, 2))
    ahead = np.where(a ^ b ^ c, 1, 2)
    corners = triangles.reshape(-1)
    turned = (3 * triangle + (alone + turn * ahead) % 3 for turn in range(3))
    apex, *others = (vertices.take(corners.take(corner), axis=0) for corner in turned)
    start, end = (_crossing(apex, other, heights[level]) for other in others)
    return start, end, level


def _crossing(one: Floats, other: Floats, height: Floats) -> Floats:
    """Give where edges (n, 3) to (n, 3) cross a height (n,), which lies between their ends: (n, 2)."""
    share = (height - one[:, 2]) / (other[:, 2] - one[:, 2])
    x, y = (one[:, axis] + share * (other[:, axis] - one[:, axis]) for axis in range(2))
    return np.column_stack([x, y])


def within(x: float, y: float, outlines: Outlines) -> bool:
    """Tell whether a place lies within an odd number of closed outlines."""
    crossings = 0
    for outline in outlines:
        ahead = np.roll(outline, -1, axis=0)
        crosses = (outline[:, 1] <= y) != (ahead[:, 1] <= y)
        a, b = outline[crosses], ahead[crosses]
        at = a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
        crossings += int(np.count_nonzero(at > x))
    return crossings % 2 == 1


def inside(places: Floats, outlines: Sequence[Floats]) -> Mask:
    """Tell which places (n, 2) lie within an odd number of outlines."""
    crossings = np.zeros(len(places), dtype=np.int64)
    start = np.concatenate([np.empty((0, 2)), *outlines])
    end = np.concatenate([np.empty((0, 2)), *(np.roll(each, -1, axis=0) for each in outlines)])
    some = start[:, 1] != end[:, 1]
    start, end = start[some], end[some]
    slope = (end[:, 0] - start[:, 0]) / (end[:, 1] - start[:, 1])
    for first in range(0, len(start), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        (x0, y0), y1 = start[part].T, end[part, 1]
        # The few edges that each place lies beside, by their numbers.
        place, edge = np.nonzero((y0 <= places[:, 1:]) != (y1 <= places[:, 1:]))
        x, y = places[place].T
        ahead = x0[edge] + (y - y0[edge]) * slope[part][edge] > x
        crossings += np.bincount(place[ahead], minlength=len(places))
    return np.asarray(crossings % 2 == 1)
