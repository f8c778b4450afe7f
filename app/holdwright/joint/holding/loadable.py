"""The points of a hold's surface where a load does most harm, for every direction along the wall."""

import math
from collections.abc import Iterator
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.joint.holding.loads import Loads

DIRECTIONS = 36
"""Directions of load along the wall, evenly apart: between them a safety changes by 0.4 % at most."""

STEEPEST = 70.0
"""A surface can be loaded where its normal is within this of facing the load, degrees: our own measure."""

GRASP = 25.0
"""Area that a finger needs to load a hold, mm2: our own measure. A speck that faces the load is no grip."""

_RISES = (-60.0, -30.0, *range(0, 90, 10))
"""Elevations of the directions in which the outermost points are looked for, degrees."""


def loads_on(grip: Mesh, rim: float = 0.0) -> Loads:
    """Find the outermost loadable points for each direction of load.

    Parameters
    ----------
    grip
        The grip surface, outward, mm; up on the wall is +y, away from it +z.
    rim
        Height of the straight rim, mm, which is no grip: what lies below is left out.

    Notes
    -----
    A load acts at any corner of a triangle that faces it within `STEEPEST`, where `GRASP` of such surface
    lies within a finger's breadth; whether a finger finds room there is not looked at, so that the figures
    are on the safe side. Where nothing faces the load, all of the surface counts. Arm, lift and pry are
    greatest at a corner of the convex hull of these points, since each is convex in the point: kept are
    those that are outermost in one of 398 directions, exact for arms and heights, within 0.7 % between.
    """
    surface = _above(grip, rim)
    turns = np.arange(DIRECTIONS) * (2.0 * math.pi / DIRECTIONS) - math.pi / 2.0
    directions = np.stack([np.cos(turns), np.sin(turns)], axis=1).round(15)
    loadable = _loadable(surface, directions)
    outward, vertices = _outward(directions), surface.vertices.astype(np.float32)
    columns = np.arange(len(outward))
    # Triangles that are loaded by the same directions are looked through together.
    _, first, members = np.unique(_packed(loadable), return_index=True, return_inverse=True)
    order = np.argsort(members, kind="stable")
    groups = np.split(surface.triangles[order], np.cumsum(np.bincount(members))[:-1])
    farthest = np.empty((len(groups), len(outward)), dtype=np.float32)
    points = np.empty(farthest.shape, dtype=np.int64)
    for group, which in enumerate(_vertices_of(groups, len(vertices))):
        distances = outward @ vertices[which].T
        best = distances.argmax(axis=1)
        farthest[group], points[group] = distances[columns, best], which[best]
    # The outermost of several groups is that of one of them: no vertex is looked at again.
    along = [np.flatnonzero(each) for each in loadable[first].T]
    found = [np.unique(points[each[farthest[each].argmax(axis=0)], columns]) for each in along]
    counts = [len(each) for each in found]
    return Loads(np.repeat(directions, counts, axis=0), surface.vertices[np.concatenate(found)])


def _loadable(surface: Mesh, directions: Floats) -> Mask:
    """Tell which triangles (m,) can be loaded along which directions (n, 2)."""
    areas = surface.areas
    level = surface.crosses[:, :2] / np.where(areas > 0.0, 2.0 * areas, 1.0)[:, None]
    # Single precision, here and below, takes half the time.
    loadable = (
        level.astype(np.float32) @ -directions.T.astype(np.float32) >= math.cos(math.radians(STEEPEST)) - 1e-6
    )
    loadable &= _grasped(surface, loadable)
    loadable[:, ~loadable.any(axis=0)] = True
    return np.asarray(loadable)


def _grasped(surface: Mesh, loadable: Mask) -> Mask:
    """Tell where enough surface can be loaded alike: in a cell of a finger's breadth and those round it."""
    cells = np.floor(surface.corners.mean(axis=1) / math.sqrt(GRASP)).astype(np.int64)
    cells -= cells.min(axis=0) - 1
    strides = np.cumprod([1, *(cells.max(axis=0)[:2] + 2)])
    keys, cell = np.unique(cells @ strides, return_inverse=True)
    count = len(cell)
    within = csr_array((surface.areas.astype(np.float32), (cell, np.arange(count))), shape=(len(keys), count))
    areas = np.asarray(within @ loadable.astype(np.float32))
    around = np.zeros_like(areas)
    for step in product((-1, 0, 1), repeat=3):
        wanted = keys + np.array(step) @ strides
        place = np.searchsorted(keys, wanted).clip(max=len(keys) - 1)
        around += np.where((keys[place] == wanted)[:, None], areas[place], 0.0)
    return np.asarray((around >= GRASP)[cell])


def _packed(flags: Mask) -> NDArray[np.uint64]:
    """Write each row of flags (m, n), at most 64, as one number (m,)."""
    packed = np.zeros((len(flags), 8), dtype=np.uint8)
    packed[:, : -(-flags.shape[1] // 8)] = np.packbits(flags, axis=1)
    return packed.view(np.uint64).reshape(-1)


def _vertices_of(groups: list[Indices], count: int) -> Iterator[Indices]:
    """Give the vertices, of so many, that each group of triangles uses; quicker than sorting."""
    used = np.zeros(count, dtype=np.bool_)
    for group in groups:
        used[group] = True
        found = np.flatnonzero(used)
        used[found] = False
        yield found


def _outward(directions: Floats) -> NDArray[np.float32]:
    """Directions (k, 3) in which outermost points are looked for."""
    rises = np.radians(_RISES)
    level = np.tile(directions, (len(rises), 1)) * np.repeat(np.cos(rises), len(directions))[:, None]
    tilted = np.column_stack([level, np.repeat(np.sin(rises), len(directions))])
    return np.concatenate([tilted, [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0)]]).astype(np.float32)


def _above(grip: Mesh, rim: float) -> Mesh:
    """Leave out what lies below the rim's height; move corners there up to it, along an edge."""
    heights = grip.vertices[grip.triangles, 2]
    reaching = (heights > rim).any(axis=1)
    if not reaching.any():
        return grip
    crossing = reaching & (heights < rim).any(axis=1)
    corners = grip.vertices[grip.triangles[crossing]]
    highest = corners[np.arange(len(corners)), corners[:, :, 2].argmax(axis=1)][:, None, :]
    below = corners[:, :, 2] < rim
    rise = np.where(below, highest[:, :, 2] - corners[:, :, 2], 1.0)
    share = np.where(below, (rim - corners[:, :, 2]) / rise, 0.0)
    moved = corners + share[:, :, None] * (highest - corners)
    kept = Mesh(grip.vertices, grip.triangles[reaching & ~crossing])
    return Mesh.joined([kept, Mesh.of_corners(moved)])
