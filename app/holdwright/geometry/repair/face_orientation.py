"""Turning every face of a surface outward, and leaving out faces that bound nothing.

Each face has two sides, and sides that meet round an edge look into the same space. Joined all over, they
part space into cells: what has the outermost cell on one side alone is the outer surface; a face with it on
neither side is a wall within, one with it on both a fin. How the faces were wound does not matter, and an
edge shared by three faces or more is no special case: round it, in the order of their angles, each face's one
side meets the next one's other (after Q. Zhou et al., Mesh Arrangements for Solid Geometry, ACM ToG 35, 2016,
there for surfaces free of crossings).
"""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import grouped, linked_sets, side_ends, side_keys, sides_by_edge
from holdwright.geometry.mesh.mesh import Mesh


@dataclass(frozen=True, eq=False)
class Outward:
    """A surface whose faces all look the same way round, joined over edges."""

    mesh: Mesh
    """The outer surface; vertices as they were."""
    turned: int
    """How many of them were wound the other way than most."""
    walls: int
    """How many faces within, or with outside on both sides, were left out."""
    crowded: int
    """Edges that more than two faces shared."""
    one_sided: bool
    """Whether the surface has but one side, as a Moebius strip."""


@dataclass(frozen=True, eq=False)
class _Meetings:
    """Which faces meet round edges, neighbours by angle: (k,) faces and the sides (0 or 1) that meet."""

    face: Indices
    side: Indices
    next_face: Indices
    next_side: Indices
    crowded: int


def outward_parts(surface: Mesh) -> list[Outward]:
    """Part a surface into those joined over edges and turn each outward.

    An open surface is turned so that most of it looks away from its middle. Where edges of more than two
    faces make it seem one-sided, as crossings may, it is taken as it was wound.

    Parameters
    ----------
    surface
        Without degenerate or duplicate triangles.
    """
    met = _meetings(surface)
    part = linked_sets(met.face, met.next_face, len(surface.triangles))[1]
    cells, cell = _cells(met, len(surface.triangles))
    outer = _outer_cells(surface, part, cell.reshape(-1, 2), cells)
    outside = cell.reshape(-1, 2) == outer[part][:, None]
    return [_part(surface, outside, faces, met.crowded) for faces in grouped(part)]


def hanging_faces(surface: Mesh) -> Mask:
    """Tell which (m,) faces hang by one edge only, where the surface goes on without them; in falling layers.

    So many may stand on a surface that the space outside it falls into rooms.
    """
    triangles = surface.triangles
    hanging = np.zeros(len(triangles), dtype=bool)
    if (surface.edges[1] <= 2).all():
        return hanging
    while True:
        left = np.flatnonzero(~hanging)
        key = side_keys(triangles[left], len(surface.vertices))
        _, which, uses = np.unique(key, return_inverse=True, return_counts=True)
        met = np.sort(uses[which].reshape(-1, 3), axis=1)
        loose = (met[:, 1] == 1) & (met[:, 2] > 2)
        if loose.all():
            return np.zeros(len(triangles), dtype=bool)
        if not loose.any():
            return hanging
        hanging[left[loose]] = True


def _cells(met: _Meetings, count: int) -> tuple[int, Indices]:
    """Give how many cells the sides of `count` faces bound, and (2 count,) the cell of each side."""
    return linked_sets(2 * met.face + met.side, 2 * met.next_face + met.next_side, 2 * count)


def _part(surface: Mesh, outside: Mask, faces: Indices, crowded: int) -> Outward:
    triangles = surface.triangles
    front, back = outside[faces].T
    both = front & back
    if both.sum() > len(faces) / 2:
        part = Mesh(surface.vertices, triangles[faces])
        return Outward(part, 0, 0, crowded, one_sided=_truly_one_sided(part))
    kept = faces[front ^ back]
    away = outside[kept, 0]
    wound = np.where(away[:, None], triangles[kept], triangles[kept][:, ::-1])
    turned = int(min(away.sum(), (~away).sum()))
    return Outward(Mesh(surface.vertices, wound), turned, len(faces) - len(kept), crowded, one_sided=False)


def _truly_one_sided(surface: Mesh) -> bool:
    """Tell whether a surface is one-sided even when parted at its crowded edges."""
    sides = _cells(_meetings(surface, crowds=False), len(surface.triangles))[1]
    return bool((sides[::2] == sides[1::2]).any())


def _outer_cells(surface: Mesh, part: Indices, cell: Indices, cells: int) -> Indices:
    """Give for each part its outermost cell: that on which its faces look with the greatest volume behind."""
    a, b, c = (surface.vertices[surface.triangles[:, corner]] for corner in range(3))
    middle_of = (a + b + c) / 3.0
    number = np.maximum(np.bincount(part), 1)
    middles = (
        np.stack([np.bincount(part, weights=column) for column in middle_of.T], axis=1) / number[:, None]
    )
    own = middles[part]
    volume = np.einsum("ij,ij->i", a - own, np.cross(b - own, c - own)) / 6.0
    behind = np.bincount(cell[:, 0], weights=volume, minlength=cells)
    behind -= np.bincount(cell[:, 1], weights=volume, minlength=cells)
    of_cell = np.zeros(cells, dtype=np.int64)
    of_cell[cell.ravel()] = np.repeat(part, 2)
    order = np.lexsort((-behind, of_cell))
    first = np.concatenate(([True], np.diff(of_cell[order]) != 0))
    return order[first]


def _meetings(surface: Mesh, *, crowds: bool = True) -> _Meetings:
    """Find which side of which face meets which other round every edge of two faces, and of more if asked."""
    vertices, triangles = surface.vertices, surface.triangles
    start, end = side_ends(triangles)
    apex = triangles[:, [2, 0, 1]].ravel()
    face = np.repeat(np.arange(len(triangles)), 3)
    forward = start < end
    order, begin = sides_by_edge(triangles, len(vertices))
    uses = np.diff(begin)
    group = np.repeat(np.arange(len(uses)), uses)
    first = np.diff(group, prepend=-1) > 0
    crowd = uses[group] > 2
    if crowds and crowd.any():
        chosen = order[crowd]
        angle = np.zeros(len(order))
        low, high = np.minimum(start, end)[chosen], np.maximum(start, end)[chosen]
        angle[crowd] = _angles(vertices, low, high, apex[chosen], first[crowd])
        order = order[np.lexsort((angle, group))]
    following = np.arange(len(order)) + 1
    following[begin[1:] - 1] = begin[:-1]
    shared = (uses[group] > 1) if crowds else (uses[group] == 2)
    here, there = order[shared], order[following[shared]]
    # Seen along the edge from its lesser vertex, the front of a face wound so looks to greater angles.
    side = np.where(forward[here], 0, 1)
    next_side = np.where(forward[there], 1, 0)
    return _Meetings(face[here], side, face[there], next_side, int((uses > 2).sum()))


def _angles(vertices: Floats, low: Indices, high: Indices, apex: Indices, first: Mask) -> Floats:
    """Angle (k,) at which each face stands off its edge, from the first face of the same edge."""
    axis = vertices[high] - vertices[low]
    length = np.linalg.norm(axis, axis=1, keepdims=True)
    axis = axis / np.where(length > 0, length, 1.0)
    out = vertices[apex] - vertices[low]
    out = out - axis * np.einsum("ij,ij->i", out, axis)[:, None]
    reference = out[np.flatnonzero(first)[np.cumsum(first) - 1]]
    sine = np.einsum("ij,ij->i", axis, np.cross(reference, out))
    return np.asarray(np.mod(np.arctan2(sine, np.einsum("ij,ij->i", reference, out)), 2 * np.pi))
