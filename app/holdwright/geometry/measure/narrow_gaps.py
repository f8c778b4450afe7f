"""Gaps in a hold that a finger goes into and may be caught in: slits, narrow holes, sharp clefts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.deviation import SurfacePoints
from holdwright.geometry.measure.occupancy import Lattice, filling, lattice_over
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.progress import SILENT, Progress

_FINENESS = 6.0
"""Points of the lattice by the least width, as long as there are not too many."""

_MOST_POINTS = 1_000_000
_DEEP, _MIDDLE, _FEW = 0.3, 0.7, 200
"""Widths are measured in so much of a gap's depth, about its middle, at so many places."""

_TOUCHING = np.ones((3, 3, 3), dtype=bool)
_WAYS = np.argwhere(_TOUCHING)[14:] - 1
"""To half of a cell's 26 neighbours, so that each pair of cells is met once."""


@dataclass(frozen=True, eq=False)
class NarrowGap:
    """A gap of a width within the range asked."""

    place: Floats
    """(3,) mm: its deepest place."""
    width: float
    """Distance between its walls near there, mm."""
    depth: float
    """Of its deepest place below its mouth, mm; of one that goes through, its length."""
    through: bool
    """Whether it opens at two ends."""


@dataclass(frozen=True, eq=False)
class _Cells:
    """What is not material, on a lattice."""

    lattice: Lattice
    room: Floats
    """Distance to the material, mm."""
    free: Mask
    """Whether a ball of the greatest width reaches there."""


def narrow_gaps(
    parts: Sequence[Mesh],
    narrowest: float,
    widest: float,
    back: float = 0.0,
    left_out: Callable[[Floats], Mask] | None = None,
    progress: Progress = SILENT,
) -> list[NarrowGap]:
    """Find the gaps that a ball of the least width goes into and one of the greatest does not.

    Parameters
    ----------
    parts
        Closed, wound outward, in mm, z away from the wall; together they are the hold.
    narrowest, widest
        Range of widths, mm.
    back
        Height of the wall, which counts as material.
    left_out
        Tells of places (n, 3) which are in no gap: where bolts and screws go.

    Returns
    -------
    list of NarrowGap
        The deepest first.

    Notes
    -----
    The hold is closed by a ball of the greatest width and what a ball of the least width reaches of that is
    kept (closing and opening of mathematical morphology; J. Serra, Image Analysis and Mathematical
    Morphology, 1982), on a lattice. Depth is the shortest way out through the gap; a width is measured
    between the walls themselves, so that gaps less deep than half their width are none.
    """
    cells = _cells(parts, narrowest, widest, back, progress)
    spacing = cells.lattice.spacing
    progress.report(0.6, "looking for narrow gaps")
    gap = (cells.room > 0.0) & ~cells.free
    box = ndimage.find_objects(gap.view(np.int8))[0] if gap.any() else ...
    finger = cells.room[box] >= narrowest / 2.0 - spacing / 2.0
    gap[box] &= ndimage.distance_transform_edt(~finger) * spacing <= narrowest / 2.0
    if left_out is not None:
        gap[gap] = ~left_out(cells.lattice.points(np.argwhere(gap)))
    labels, count = ndimage.label(gap, _TOUCHING)
    surface, found = Mesh.joined(parts), []
    for number, box in enumerate(ndimage.find_objects(labels), 1):
        progress.report(0.6 + 0.4 * number / count, "measuring narrow gaps")
        wide = tuple(slice(max(side.start - 1, 0), side.stop + 1) for side in box)
        inside = np.asarray(labels[wide] == number)
        mouth = ndimage.binary_dilation(cells.free[wide], _TOUCHING) & inside
        # What is closed all round nothing gets into, and what is all mouth holds nothing.
        if mouth.any() and (inside & ~mouth).any():
            start = np.array([side.start for side in wide])
            found.append(_measured(cells, start, inside, mouth, surface, (narrowest, widest)))
    kept = [gap for gap in found if gap is not None and narrowest <= gap.width <= widest]
    return sorted(kept, key=lambda each: -each.depth)


def _cells(parts: Sequence[Mesh], narrowest: float, widest: float, back: float, progress: Progress) -> _Cells:
    low = np.min([part.bounds[0] for part in parts], axis=0)
    high = np.max([part.bounds[1] for part in parts], axis=0)
    low[2] = back
    spacing = max(narrowest / _FINENESS, float(np.cbrt(np.prod(high - low + widest) / _MOST_POINTS)))
    margin = widest / 2.0 + 2.0 * spacing
    low[2] += margin - 2.0 * spacing  # all below the wall is alike
    lattice = lattice_over(low, high, spacing, margin)
    progress.report(0.0, "laying a lattice over the hold")
    filled = sum(filling(lattice, part) for part in parts)
    solid = np.asarray(filled >= 0.5)
    solid[:, :, lattice.points(np.arange(lattice.shape[2])[:, None] * [0, 0, 1])[:, 2] <= back] = True
    progress.report(0.15, "laying a lattice over the hold")
    room = ndimage.distance_transform_edt(~solid) * spacing
    progress.report(0.3, "closing narrow gaps")
    ball = _ball(widest, spacing)
    free = ndimage.distance_transform_edt(room <= ball) * spacing <= ball
    return _Cells(lattice, room, free & ~solid)


def _ball(widest: float, spacing: float) -> float:
    """Radius of the closing ball: so much wider that no gap at the limit is lost to the lattice."""
    return widest / 2.0 + spacing


def _measured(
    cells: _Cells,
    start: Indices,
    inside: Mask,
    mouth: Mask,
    surface: Mesh,
    widths: tuple[float, float],
) -> NarrowGap | None:
    """Measure one gap; None where it has no two walls."""
    spacing, (narrowest, widest) = cells.lattice.spacing, widths
    depth = _ways_out(inside, mouth) * spacing
    cell = start + np.argwhere(inside)
    places, room = cells.lattice.points(cell), cells.room[tuple(cell.T)]
    deep = depth >= _DEEP * depth.max()
    middle = np.flatnonzero(deep & (room >= _MIDDLE * room[deep].max()))
    some = places[np.random.default_rng(1).permutation(middle)[:_FEW]]
    near = surface.near(some.min(axis=0) - widest, some.max(axis=0) + widest)
    across = _across(some, SurfacePoints(near, spacing), RayTree(near))
    across = across[np.isfinite(across)]
    if not len(across):
        return None
    width = float(np.median(across))
    # The ball of the greatest width sinks into the mouth.
    ball = _ball(widest, spacing)
    sunk = ball - np.sqrt(max(ball**2 - ((width + spacing) / 2.0) ** 2, 0.0))
    ends = ndimage.label(mouth, _TOUCHING)[0]
    through = (np.bincount(ends.ravel())[1:] > np.pi / 4.0 * (narrowest / spacing) ** 2).sum() > 1
    deepest = (float(depth.max()) + float(sunk)) * (2.0 if through else 1.0)
    return NarrowGap(places[int(np.argmax(depth))], width, deepest, bool(through))


def _ways_out(inside: Mask, mouth: Mask) -> Floats:
    """Give for the cells of a gap (n,) the way to its mouth, in cells, through neighbours of all kinds."""
    number = np.full(inside.shape, -1)
    number[inside] = np.arange(int(inside.sum()))
    links = []
    for way in _WAYS:
        one, other = (_shifted(number, side * way) for side in (1, -1))
        both = (one >= 0) & (other >= 0)
        links.append((one[both], other[both], np.full(int(both.sum()), np.sqrt(way @ way))))
    one, other, length = (np.concatenate(each) for each in zip(*links, strict=True))
    count = int(inside.sum())
    graph = coo_array((length, (one, other)), shape=(count, count)).tocsr()
    ways = dijkstra(graph, directed=False, indices=number[mouth], min_only=True)
    return np.asarray(ways + 0.5)


def _shifted(cells: Indices, way: Indices) -> Indices:
    """Give the cells that have a neighbour the other way, so that those of `way` and `-way` pair up."""
    part = (slice(max(step, 0), size + min(step, 0)) for step, size in zip(way, cells.shape, strict=True))
    return cells[tuple(part)].ravel()


def _across(points: Floats, near: SurfacePoints, rays: RayTree) -> Floats:
    """Distance between the walls on either side of points (n, 3), infinite where across is the open."""
    found = near.near(points)
    way = (points - found.points) / np.maximum(found.distance, 1e-9)[:, None]
    return np.asarray(found.distance + rays.first_hits(points, way)[0])
