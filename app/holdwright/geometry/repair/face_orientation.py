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
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.closedness import edge_uses


@dataclass(frozen=True, eq=False)
class Outward:
    """A surface whose faces all look the same way round, joined over edges.

    Attributes
    ----------
    triangles
        (m, 3) faces of the outer surface.
    turned
        How many of them were wound the other way than most.
    walls
        How many faces within, or with outside on both sides, were left out.
    crowded
        Edges that more than two faces shared.
    one_sided
        Whether the surface has but one side, as a Moebius strip.
    """

    triangles: Indices
    turned: int
    walls: int
    crowded: int
    one_sided: bool


@dataclass(frozen=True, eq=False)
class _Meetings:
    """Which faces meet round edges, neighbours by angle: (k,) faces and the sides (0 or 1) that meet."""

    face: Indices
    side: Indices
    next_face: Indices
    next_side: Indices
    crowded: int


def outward_parts(vertices: Floats, triangles: Indices) -> list[Outward]:
    """Part a surface into those joined over edges and turn each outward.

    An open surface is turned so that most of it looks away from its middle. Where edges of more than two
    faces make it seem one-sided, as crossings may, it is taken as it was wound.

    Parameters
    ----------
    vertices, triangles
        (n, 3) and (m, 3), without degenerate or duplicate triangles.
    """
    met = _meetings(vertices, triangles)
    count = len(triangles)
    parts, part = _joined(met.face, met.next_face, count)
    cells, cell = _joined(2 * met.face + met.side, 2 * met.next_face + met.next_side, 2 * count)
    outer = _outer_cells(vertices, triangles, part, cell.reshape(-1, 2), cells)
    outside = cell.reshape(-1, 2) == outer[part][:, None]
    return [_part(triangles, outside, faces, met.crowded) for faces in _grouped(part, parts)]


def hanging_faces(vertices: Floats, triangles: Indices) -> Mask:
    """Tell which (m,) faces hang by one edge only, where the surface goes on without them; in falling layers.

    So many may stand on a surface that the space outside it falls into rooms.
    """
    hanging = np.zeros(len(triangles), dtype=bool)
    if (edge_uses(triangles, len(vertices))[1] <= 2).all():
        return hanging
    while True:
        left = np.flatnonzero(~hanging)
        ends = np.sort(triangles[left][:, [[0, 1], [1, 2], [2, 0]]], axis=2).reshape(-1, 2)
        key = ends[:, 0] * len(vertices) + ends[:, 1]
        _, which, uses = np.unique(key, return_inverse=True, return_counts=True)
        met = np.sort(uses[which].reshape(-1, 3), axis=1)
        loose = (met[:, 1] == 1) & (met[:, 2] > 2)
        if loose.all():
            return np.zeros(len(triangles), dtype=bool)
        if not loose.any():
            return hanging
        hanging[left[loose]] = True


def _joined(first: Indices, second: Indices, count: int) -> tuple[int, Indices]:
    """Give how many sets links make of `count` places, and the set of each."""
    links = coo_array((np.ones(len(first), dtype=np.int8), (first, second)), shape=(count, count))
    number, label = connected_components(links, directed=False)
    return int(number), label.astype(np.int64)


def _part(triangles: Indices, outside: Indices, faces: Indices, crowded: int) -> Outward:
    front, back = outside[faces].T
    both = front & back
    if both.sum() > len(faces) / 2:
        return Outward(triangles[faces], 0, 0, crowded, one_sided=_truly_one_sided(triangles[faces]))
    kept = faces[front ^ back]
    away = outside[kept, 0]
    wound = np.where(away[:, None], triangles[kept], triangles[kept][:, ::-1])
    turned = int(min(away.sum(), (~away).sum()))
    return Outward(wound, turned, len(faces) - len(kept), crowded, one_sided=False)


def _truly_one_sided(triangles: Indices) -> bool:
    """Tell whether a surface is one-sided even when parted at its crowded edges."""
    met = _meetings(np.zeros((int(triangles.max()) + 1, 3)), triangles, crowds=False)
    sides = _joined(2 * met.face + met.side, 2 * met.next_face + met.next_side, 2 * len(triangles))[1]
    return bool((sides[::2] == sides[1::2]).any())


def _outer_cells(vertices: Floats, triangles: Indices, part: Indices, cell: Indices, cells: int) -> Indices:
    """Give for each part its outermost cell: that on which its faces look with the greatest volume behind."""
    a, b, c = (vertices[triangles[:, corner]] for corner in range(3))
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


def _meetings(vertices: Floats, triangles: Indices, *, crowds: bool = True) -> _Meetings:
    """Find which side of which face meets which other round every edge of two faces, and of more if asked."""
    start, end = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
    apex = triangles[:, [2, 0, 1]].ravel()
    face = np.repeat(np.arange(len(triangles)), 3)
    forward = start < end
    key = np.minimum(start, end) * len(vertices) + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    first = np.concatenate(([True], np.diff(key[order]) != 0))
    group = np.cumsum(first) - 1
    uses = np.bincount(group)
    crowd = uses[group] > 2
    if crowds and crowd.any():
        chosen = order[crowd]
        angle = np.zeros(len(order))
        low, high = np.minimum(start, end)[chosen], np.maximum(start, end)[chosen]
        angle[crowd] = _angles(vertices, low, high, apex[chosen], first[crowd])
        order = order[np.lexsort((angle, group))]
    following = np.arange(len(order)) + 1
    last = np.concatenate((first[1:], [True]))
    following[last] = np.flatnonzero(first)
    shared = (uses[group] > 1) if crowds else (uses[group] == 2)
    here, there = order[shared], order[following[shared]]
    # Seen along the edge from its lesser vertex, the front of a face wound so looks to greater angles.
    side = np.where(forward[here], 0, 1)
    next_side = np.where(forward[there], 1, 0)
    return _Meetings(face[here], side, face[there], next_side, int((uses > 2).sum()))


def _angles(vertices: Floats, low: Indices, high: Indices, apex: Indices, first: Indices) -> Floats:
    """Angle (k,) at which each face stands off its edge, from the first face of the same edge."""
    axis = vertices[high] - vertices[low]
    length = np.linalg.norm(axis, axis=1, keepdims=True)
    axis = axis / np.where(length > 0, length, 1.0)
    out = vertices[apex] - vertices[low]
    out = out - axis * np.einsum("ij,ij->i", out, axis)[:, None]
    reference = out[np.flatnonzero(first)[np.cumsum(first) - 1]]
    sine = np.einsum("ij,ij->i", axis, np.cross(reference, out))
    return np.asarray(np.mod(np.arctan2(sine, np.einsum("ij,ij->i", reference, out)), 2 * np.pi))


def _grouped(label: Indices, count: int) -> list[Indices]:
    """Give the places of each label, in order of the label."""
    order = np.argsort(label, kind="stable")
    return list(np.split(order, np.cumsum(np.bincount(label, minlength=count))[:-1]))
