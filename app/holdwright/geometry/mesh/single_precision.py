"""The mesh a file holds: a solid's surface rounded to single precision without losing its closedness.

Rounding makes some neighbouring vertices equal and some thin triangles flat. Here those vertices become one
and those triangles go, always using every edge equally often in both directions, so that a reader who merges
equal vertices meets a closed surface again.
"""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.geometry.mesh.connectivity import collapsed_triangles
from holdwright.geometry.mesh.edge_contact import part_contacts
from holdwright.geometry.mesh.mesh import Mesh

_ROUNDS = 20
"""Flat triangles in a row along one line need a flip each; more than a few has never been met."""


@dataclass(frozen=True, eq=False)
class PrintedMesh:
    """A mesh as files hold it."""

    vertices: NDArray[np.float32]
    """(n, 3) float32, mm. Every one is used; two are equal only where the surface touches itself."""
    triangles: Indices
    """(m, 3) int64, wound outward."""


def printed_mesh(vertices: Floats, triangles: Indices) -> PrintedMesh:
    """Round a closed mesh to single precision.

    Parameters
    ----------
    vertices
        (n, 3) float64, mm.
    triangles
        (m, 3) indices into `vertices`.
    """
    points, faces = part_contacts(*rounded(vertices, triangles))
    used = np.zeros(len(points), dtype=bool)
    used[faces] = True
    if not used.all():
        points, faces = points[used], (np.cumsum(used) - 1)[faces]
    return PrintedMesh(points, faces)


def rounded(vertices: Floats, triangles: Indices) -> tuple[NDArray[np.float32], Indices]:
    """Round to single precision: equal vertices are one, folds and flat triangles gone; contacts stay."""
    points, place = merge_equal(np.asarray(vertices, dtype=np.float32))
    faces = place[triangles]
    return points, _without_flats(points, _without_folds(faces[~collapsed_triangles(faces)]))


def _without_folds(faces: Indices) -> Indices:
    """Drop pairs of triangles on the same three vertices that face opposite ways: a fold of no thickness."""
    if len(faces) == 0:
        return faces
    ordered = np.sort(faces, axis=1)
    a, b, c = ordered.T
    key = (a * 0x9E3779B1 + b * 0x85EBCA77) * 0xC2B2AE3D + c  # wraps; equal triples have equal keys
    alone = np.sort(key)
    if (alone[1:] != alone[:-1]).all():
        return faces
    _, triple, count = np.unique(ordered, axis=0, return_inverse=True, return_counts=True)
    triple = triple.ravel()
    suspects = np.flatnonzero(count[triple] > 1)
    least = np.argmin(faces[suspects], axis=1)
    rows = faces[suspects]
    following = np.take_along_axis(rows, ((least + 1) % 3)[:, None], axis=1)[:, 0]
    turns = following == ordered[suspects, 1]  # winds from least through middle to greatest
    waiting: dict[tuple[int, bool], list[int]] = defaultdict(list)
    drop: list[int] = []
    for face, name, turn in zip(suspects.tolist(), triple[suspects].tolist(), turns.tolist(), strict=True):
        opposite = waiting[name, not turn]
        if opposite:
            drop += [face, opposite.pop()]
        else:
            waiting[name, turn].append(face)
    return np.delete(faces, drop, axis=0)


def _without_flats(points: NDArray[np.float32], faces: Indices) -> Indices:
    """Flip the long edge of every triangle whose corners lie on one line, so that the triangle goes.

    Of such a triangle (a, b, c), b between a and c, and its neighbour (a, c, d) come (a, b, d) and (b, c, d):
    the same surface, the same outer edges in the same directions.
    """
    exact = np.asarray(points, dtype=np.float64)
    for _ in range(_ROUNDS):
        flat = np.flatnonzero(Mesh(exact, faces).areas == 0.0)
        if len(flat) == 0:
            break
        faces = _without_folds(_flipped(exact, faces, flat))
    return faces


def _flipped(points: Floats, faces: Indices, flat: Indices) -> Indices:
    """Flip each of the `flat` triangles whose neighbour was not touched yet in this round."""
    faces = faces.copy()
    touched: set[int] = set()
    for face in flat.tolist():
        corners = faces[face]
        sides = np.linalg.norm(points[np.roll(corners, -1)] - points[corners], axis=1)
        a, b, c = (int(corner) for corner in np.roll(corners, -int(np.argmax(sides)) - 1))
        start, end = faces, np.roll(faces, -1, axis=1)
        across, corner = np.nonzero((start == a) & (end == c))
        free = [place for place, other in enumerate(across.tolist()) if other not in touched]
        if face in touched or not free:
            continue
        other = int(across[free[0]])
        d = int(faces[other, (int(corner[free[0]]) + 2) % 3])
        faces[face], faces[other] = (a, b, d), (b, c, d)
        touched |= {face, other}
    return faces
