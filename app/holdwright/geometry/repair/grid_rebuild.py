"""Making the surface of one piece anew, where it cannot be mended as it is.

Points of a grid are told inside from outside by signed crossings, a winding number that overlaps do not fool.
Where the grid's lines cross from inside to outside the exact crossings are known, and a corner is set in
every cell the surface passes, in the mean of its crossings (surface nets: S. F. Gibson, Constrained elastic
surface nets, MICCAI 1998). Corners are then moved onto the old surface where that is near.
"""

from dataclasses import dataclass

import numpy as np
from manifold3d import Error, Manifold

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.deviation import SurfacePoints
from holdwright.geometry.measure.occupancy import Inside, Lattice, crossings, lattice_over, mark
from holdwright.geometry.mesh.boolean import components, reassembled
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import kernel_of

FINENESS = 120.0
"""Voxels along the longest side unless asked otherwise: about 1 mm on a hold of 120 mm."""

MOST_VOXELS = 60_000_000
"""More than this takes minutes and several GiB; the voxel is widened to stay below."""

_THIN = 2.5
"""Stretches shorter than this many voxels are too thin for them."""

_LEAST_THIN = 0.02
"""Share of the stretches that may be."""

_CRUMB = 4.0
"""Voxels in volume below which a surface apart from the rest is a chance of the grid."""


@dataclass(frozen=True, eq=False)
class Rebuilt:
    """A piece whose surface was made anew."""

    kernel: Manifold
    """Closed and outward."""
    voxel: float
    """Size of the grid it was made on, in the piece's own unit."""


def rebuilt(surface: Mesh, voxel: float | None = None) -> Rebuilt | None:
    """Make a piece's surface anew from where it is inside; None where it encloses nothing.

    Parameters
    ----------
    surface
        Every edge is used equally in both directions; overlaps and folds do not matter.
    voxel
        Size of the grid's cells; by default a 120th of the extent, halved up to twice where it is thin.
    """
    low, high = surface.bounds
    extent = float((high - low).max())
    volume = float(np.prod(np.maximum(high - low, extent / FINENESS)))
    least = (volume / MOST_VOXELS) ** (1 / 3)
    size = max(voxel or extent / FINENESS, least)
    for _ in range(1 if voxel else 3):
        lattice = lattice_over(low, high, size, 2.0 * size)
        inside, short = _inside(lattice, surface)
        if short <= _LEAST_THIN or size / 2 < least:
            break
        size /= 2
    kernel = netted(lattice, inside, surface)
    return None if kernel is None else Rebuilt(kernel, lattice.spacing)


def netted(lattice: Lattice, inside: Inside, surface: Mesh) -> Manifold | None:
    """Lay a surface between the points of a lattice inside and those outside; None where that bounds nothing.

    Parameters
    ----------
    lattice, inside
        The points, and which are inside: none of the outermost.
    surface
        The old surface, onto which the new one is drawn where that is near.

    Returns
    -------
    Manifold or None
        Closed and outward; crumbs of a few voxels and detail far below the voxel are left out.
    """
    if not inside.any():
        return None
    points, faces = _net(lattice, inside, surface)
    points = _onto(points, surface, lattice.spacing)
    kernel = kernel_of(Mesh(points, faces))
    if kernel.status() != Error.NoError or kernel.num_tri() == 0 or not kernel.volume() > 0:
        return None
    surfaces = components(kernel)
    kept = [each for each in surfaces if abs(each.volume()) > _CRUMB * lattice.spacing**3]
    return kernel if len(kept) in (0, len(surfaces)) else reassembled(kept)


def _inside(lattice: Lattice, surface: Mesh) -> tuple[Inside, float]:
    """Mark the points inside, and tell what share of the upright stretches inside is short."""
    met = crossings(lattice, surface)
    inside = mark(lattice, met)
    order = np.lexsort((met.height, met.column))
    column, height = met.column[order], met.height[order]
    depth = np.cumsum(met.step[order].astype(np.int64))
    before = np.concatenate(([0], depth[:-1]))
    begins, ends = np.flatnonzero((depth != 0) & (before == 0)), np.flatnonzero((depth == 0) & (before != 0))
    if len(begins) == 0 or len(begins) != len(ends):
        return inside, 0.0
    length = np.where(column[begins] == column[ends], height[ends] - height[begins], np.inf)
    thin = np.count_nonzero((length < _THIN) & (length > 0.05))
    return inside, thin / len(length)


def _net(lattice: Lattice, inside: Inside, surface: Mesh) -> tuple[Floats, Indices]:
    """Give the surface net between inside and outside, a corner in every mixed cell."""
    nx, ny, nz = lattice.shape
    cells = np.full((nx - 1, ny - 1, nz - 1), -1, dtype=np.int64)
    full = np.zeros(cells.shape, dtype=np.int8)
    for corner in np.ndindex(2, 2, 2):
        full += inside[
            tuple(slice(step, step + side - 1) for step, side in zip(corner, inside.shape, strict=True))
        ]
    mixed = (full > 0) & (full < 8)
    cells[mixed] = np.arange(np.count_nonzero(mixed))
    total = np.zeros((np.count_nonzero(mixed), 3))
    count = np.zeros(len(total))
    quads = []
    for axis in range(3):
        place, enters = _changes(inside, axis)
        crossing = place.astype(np.float64)
        crossing[:, axis] += _shares(lattice, surface, place, axis)
        first, second = (axis + 1) % 3, (axis + 2) % 3
        around = []
        for back in ((1, 1), (0, 1), (0, 0), (1, 0)):
            cell = np.array(place)
            cell[:, first] -= back[0]
            cell[:, second] -= back[1]
            around.append(cells[tuple(cell.T)])
            np.add.at(total, around[-1], crossing)
            np.add.at(count, around[-1], 1.0)
        quad = np.stack(around, axis=1)
        # Seen from the end of the axis the four cells go round leftward: outward where the axis goes out.
        quads.append(np.where(enters[:, None], quad[:, ::-1], quad))
    ring = np.concatenate(quads)
    points = lattice.points(total / np.maximum(count, 1.0)[:, None])
    return points, _halved(points, ring)


def _changes(inside: Inside, axis: int) -> tuple[Indices, Inside]:
    """Give the lower points (k, 3) of lattice edges along an axis that cross the surface, and which way."""
    before = inside[tuple(slice(None, -1) if each == axis else slice(None) for each in range(3))]
    after = inside[tuple(slice(1, None) if each == axis else slice(None) for each in range(3))]
    place = np.argwhere(before != after)
    return place, np.asarray(after[tuple(place.T)])


def _shares(lattice: Lattice, surface: Mesh, place: Indices, axis: int) -> Floats:
    """Give how far along each edge (0 to 1) the surface crosses it; a half where no crossing is found."""
    turn = [(axis + 1) % 3, (axis + 2) % 3, axis]
    shape = (lattice.shape[turn[0]], lattice.shape[turn[1]], lattice.shape[turn[2]])
    turned = Lattice(lattice.origin[turn], lattice.spacing, shape)
    met = crossings(turned, Mesh(surface.vertices[:, turn], surface.triangles))
    level = np.ceil(met.height).astype(np.int64) - 1
    seen = (level >= 0) & (level < shape[2] - 1)
    key = met.column[seen] * shape[2] + level[seen]
    order = np.argsort(key, kind="stable")
    wanted = (place[:, turn[0]] * shape[1] + place[:, turn[1]]) * shape[2] + place[:, turn[2]]
    first = np.searchsorted(key[order], wanted, side="left")
    last = np.searchsorted(key[order], wanted, side="right")
    share = np.full(len(place), 0.5)
    alone = last > first
    low = met.height[seen][order]
    # Several crossings of one edge: the mean, which lies between the sheets.
    heaped = np.concatenate(([0.0], np.cumsum(low - np.floor(low))))
    share[alone] = (heaped[last] - heaped[first])[alone] / (last - first)[alone]
    return np.asarray(np.clip(share, 0.02, 0.98))


def _halved(points: Floats, quads: Indices) -> Indices:
    """Cut quads into triangles along the shorter diagonal."""
    a, b, c, d = quads.T
    across = np.linalg.norm(points[a] - points[c], axis=1) <= np.linalg.norm(points[b] - points[d], axis=1)
    one = np.where(across[:, None], np.stack([a, b, c], 1), np.stack([a, b, d], 1))
    other = np.where(across[:, None], np.stack([a, c, d], 1), np.stack([b, c, d], 1))
    return np.concatenate([one, other])


def _onto(points: Floats, surface: Mesh, voxel: float) -> Floats:
    """Move corners onto the old surface where that is within half a voxel."""
    found = SurfacePoints(surface, voxel).near(points)
    return np.where((found.distance < 0.5 * voxel)[:, None], found.points, points)
