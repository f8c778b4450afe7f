"""How thick the wall is under each face of a solid."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.mesh.mesh import cross_products, lengths
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import SILENT, Progress

CONE: Final = 25.0
"""Degrees from the inward normal of the rays round the straight one. Our choice."""

_ROUND = 6
_SQUARELY = float(np.cos(np.radians(15.0)))
_PARALLEL = float(np.cos(np.radians(30.0)))
_LEAST_START, _MOST_START = 5e-5, 1e-3


@dataclass(frozen=True)
class Thinnest:
    """The thinnest wall of a solid."""

    thickness: float
    """mm."""
    place: tuple[float, float, float]
    """(x, y, z) on its surface, mm."""


@dataclass(frozen=True, eq=False)
class Walls:
    """Walls between nearly parallel faces."""

    thickness: Floats
    """(m,) float64, mm, one for each triangle; infinite where there is no wall within reach."""
    opposite: Indices
    """(m,) the triangle on its other side; -1 where there is none."""


def wall_thickness(solid: Solid, cone: bool = False) -> Floats:
    """Measure the wall from the middle of each face straight inward to the opposite side.

    Where the opposite wall is not parallel to the face, as in wedges and rough sculpts, that is more than the
    wall has. With `cone`, six more rays lean away from the straight one by `CONE` degrees, and the shortest
    counts of those that meet the opposite wall squarely (within 15 degrees). A ball or a slab keeps its true
    thickness either way. The idea is that of the shape diameter (Shapira, Shamir and Cohen-Or, 2008), which
    takes a mean.

    Parameters
    ----------
    cone
        Whether to send leaning rays too, which takes seven times as long.

    Returns
    -------
    Floats
        (m,) float64, mm, one for each triangle; infinite where a face is too small to measure from.
    """
    centres, normals, areas = _faces(solid)
    tree = RayTree(solid.mesh)
    start = np.clip(0.1 * np.sqrt(areas), _LEAST_START, _MOST_START)[:, None]
    origins = centres - start * normals
    thickness = _to_far_side(tree, origins, -normals, normals, 0.0)
    for lean in _leaning(normals) if cone else ():
        np.minimum(thickness, _to_far_side(tree, origins, lean, normals, _SQUARELY), out=thickness)
    thickness[areas <= 0.0] = np.inf
    return np.asarray(thickness + start[:, 0])


def near_walls(
    solid: Solid,
    reach: float,
    spacing: float,
    tree: RayTree | None = None,
    progress: Progress = SILENT,
) -> Walls:
    """Measure walls between faces that lie nearly parallel, within 30 degrees: edges are no walls.

    From each face straight inward to the face opposite, as far as that is square to it: in a wedge too this
    is what the wall has.

    Parameters
    ----------
    reach
        How far to measure, mm: the nearer, the faster.
    spacing
        Of faces that look about the same way within a cube of this side, mm, one is measured for all.
    tree
        Of the solid, where there is one already.
    """
    centres, normals, areas = _faces(solid)
    some, stands_for = _spread(centres, normals, spacing)
    inward = -normals[some]
    tree = tree or RayTree(solid.mesh)
    distances, met = tree.first_hits(centres[some] + _MOST_START * inward, inward, reach, progress)
    facing = np.einsum("ij,ij->i", normals[met], inward)
    wall = (met >= 0) & (facing > _PARALLEL) & (areas[some] > 0.0)
    walls, opposite = np.full(len(some), np.inf), np.full(len(some), -1, dtype=np.int64)
    walls[wall] = (distances[wall] + _MOST_START) * facing[wall]
    opposite[wall] = met[wall]
    return Walls(walls[stands_for], opposite[stands_for])


def thinnest(solid: Solid, thickness: Floats, area: float = 10.0) -> Thinnest:
    """Give the thickness that `area` mm2 of surface do not exceed: single faces at sharp edges do not count.

    Parameters
    ----------
    thickness
        (m,) as `wall_thickness` gave it for `solid`.
    area
        mm2; a solid with less surface than twice that is judged by half its surface.
    """
    centres, _, areas = _faces(solid)
    order = np.argsort(thickness, kind="stable")
    covered = np.cumsum(areas[order])
    last = int(np.searchsorted(covered, min(area, covered[-1] / 2.0)))
    thin = order[: last + 1]
    x, y, z = centres[thin[np.argmax(areas[thin])]].tolist()
    return Thinnest(float(thickness[order[last]]), (x, y, z))


def _faces(solid: Solid) -> tuple[Floats, Floats, Floats]:
    """Give middles, unit normals and areas of the faces."""
    doubled = cross_products(solid.vertices, solid.triangles)
    length = lengths(doubled)
    return solid.mesh.corners.mean(axis=1), doubled / np.maximum(length, 1e-300)[:, None], length / 2.0


def _spread(centres: Floats, normals: Floats, spacing: float) -> tuple[Indices, Indices]:
    """Choose faces: their numbers, and for every face that of the chosen one which stands for it."""
    cells = np.floor((centres - centres.min(axis=0)) / spacing).astype(np.int64)
    facing = (np.round(normals) + 1.0).astype(np.int64) @ [1, 3, 9]
    key = ((cells[:, 0] << 20 | cells[:, 1]) << 20 | cells[:, 2]) * 27 + facing
    _, some, stands_for = np.unique(key, return_index=True, return_inverse=True)
    return some, stands_for


def _to_far_side(
    tree: RayTree, origins: Floats, directions: Floats, normals: Floats, opposed: float
) -> Floats:
    """Give the way to the first face met, infinite unless it leaves there at a cosine above `opposed`."""
    distances, met = tree.first_hits(origins, directions)
    facing = np.einsum("ij,ij->i", normals[met], directions)
    return np.where((met >= 0) & (facing > opposed), distances, np.inf)


def _leaning(normals: Floats) -> list[Floats]:
    """Give unit directions round the inward normals, `CONE` degrees from them."""
    helper = np.where(np.abs(normals[:, :1]) < 0.7, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    first = np.cross(normals, helper)
    first /= np.maximum(lengths(first), 1e-300)[:, None]
    second = np.cross(normals, first)
    lean = np.radians(CONE)
    turns = np.arange(_ROUND) * (2.0 * np.pi / _ROUND)
    return [
        -np.cos(lean) * normals + np.sin(lean) * (np.cos(turn) * first + np.sin(turn) * second)
        for turn in turns
    ]
