"""Where a closed surface is sharper than a radius: edges and points alike."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import grouped, linked_sets, sides_by_edge
from holdwright.geometry.mesh.mesh import Mesh, lengths
from holdwright.progress import SILENT, Progress

_BALL = 0.5
"""Radius of the ball in which turns are summed, by the radius asked: half of it, so that a sharp edge counts
from 45 degrees of turn on."""

_ACTIVE = 2.0
"""Edges are summed whose own radius is below so many times the radius asked, or that turn enough alone."""

_POINTED = 0.5
"""So are those that meet in a vertex round which so much of the full angle is missing, rad: at a tip."""

_NO_AREA = 1e-300
_LINK = 4.0
"""Places nearer than so many balls belong to one stretch."""


@dataclass(frozen=True, eq=False)
class SharpPlaces:
    """Places along edges that are too sharp."""

    points: Floats
    """(n, 3) mm."""
    radius: Floats
    """(n,) mm: of the rounding that would turn as much within a ball of half the radius asked."""
    length: Floats
    """(n,) mm: what each stands for of the edges' length."""

    def chosen(self, which: Mask | Indices) -> "SharpPlaces":
        """Keep some of them."""
        return SharpPlaces(self.points[which], self.radius[which], self.length[which])

    def stretches(self, radius: float) -> list["SharpPlaces"]:
        """Part them where they are far from each other, by the radius asked; the longest first."""
        pairs = cKDTree(self.points).query_pairs(_LINK * radius, output_type="ndarray")
        labels = linked_sets(pairs[:, 0], pairs[:, 1], len(self.points))[1]
        found = [self.chosen(group) for group in grouped(labels)]
        return sorted(found, key=lambda each: (-round(float(each.length.sum()), 3), *each.points[0]))


def sharp_places(surface: Mesh, radius: float, progress: Progress = SILENT) -> SharpPlaces:
    """Find where a closed surface turns outward more sharply than a rounding of a radius.

    Parameters
    ----------
    surface
        Closed, wound outward, mm.
    radius
        mm.

    Notes
    -----
    The angles between triangles, summed over the edges' lengths within a ball, outward ones positive and
    inward ones negative, are its curvature times its area, whatever the triangles (D. Cohen-Steiner and J.-M.
    Morvan, Restricted Delaunay triangulations and normal cycle, SoCG 2003): so facets of a rounding add up
    and roughness cancels. With a ball of half the radius, an edge that turns by 45 degrees is like that
    radius.
    """
    ball = _BALL * radius
    start, way, turn = _turning_edges(surface, radius)
    size = lengths(way)
    parts = np.maximum(np.ceil(size / ball), 1).astype(np.int64)
    edge = np.repeat(np.arange(len(parts)), parts)
    number = np.arange(len(edge)) - np.repeat(np.cumsum(parts) - parts, parts)
    step = way[edge] / parts[edge][:, None]
    begin = start[edge] + number[:, None] * step
    middle, bend = begin + step / 2.0, turn[edge]
    reach = size[edge] / parts[edge]
    outward = np.flatnonzero(bend > 0.0)
    if not len(outward):
        return SharpPlaces(np.empty((0, 3)), np.empty(0), np.empty(0))
    progress.report(0.4, "looking along edges")
    near = cKDTree(middle[outward]).sparse_distance_matrix(
        cKDTree(middle), ball + float(reach.max()) / 2.0, output_type="ndarray"
    )
    progress.report(0.7, "looking along edges")
    place, piece = near["i"], near["j"]
    inside = _length_within(begin[piece] - middle[outward[place]], step[piece], ball)
    total = np.bincount(place, bend[piece] * inside, len(outward))
    sharp = total > np.pi * ball**2 / radius
    rounded = np.pi * ball**2 / total[sharp]
    kept = outward[sharp]
    # Of the facets of a rounding each stands for its share of the turn.
    along = reach[kept] * np.minimum(bend[kept] * 2.0 * ball / total[sharp], 1.0)
    return SharpPlaces(middle[kept], rounded, along)


def _turning_edges(surface: Mesh, radius: float) -> tuple[Floats, Floats, Floats]:
    """Give start (n, 3), way (n, 3) and turn (n,) in rad, outward positive, of edges that may be sharp."""
    vertices, triangles = surface.vertices, surface.triangles
    one, other = sides_by_edge(triangles, len(vertices))[0].reshape(-1, 2).T
    area = lengths(surface.crosses)
    normals = surface.crosses / np.maximum(area, _NO_AREA)[:, None]
    first, second = normals[one // 3], normals[other // 3]
    begin = triangles.ravel()[one]
    end = triangles[one // 3, (one % 3 + 1) % 3]
    way = vertices[end] - vertices[begin]
    across = np.cross(first, second)
    turn = np.arctan2(lengths(across), np.einsum("ij,ij->i", first, second))
    turn = np.copysign(turn, np.einsum("ij,ij->i", across, way))
    # Half the width of what turns, square to the edge: the middles of two facets are so far apart.
    apart = (area[one // 3] + area[other // 3]) / 2.0 / np.maximum(lengths(way), _NO_AREA)
    active = (np.abs(turn) * _ACTIVE * radius > apart) | (np.abs(turn) >= np.pi / 4.0)
    missing = _missing_angle(surface)
    active |= np.maximum(missing[begin], missing[end]) > _POINTED
    active &= (area[one // 3] > 0.0) & (area[other // 3] > 0.0) & (turn != 0.0)
    return vertices[begin[active]], way[active], turn[active]


def _missing_angle(surface: Mesh) -> Floats:
    """Give for each vertex (n,) what its triangles' angles lack of the full one, rad."""
    corners = surface.corners
    ahead = np.roll(corners, -1, axis=1) - corners
    dots = -np.einsum("ijk,ijk->ij", ahead, np.roll(ahead, 1, axis=1))
    angles = np.arctan2(lengths(surface.crosses)[:, None], dots)
    turned = np.bincount(surface.triangles.ravel(), angles.ravel(), len(surface.vertices))
    return np.asarray(2.0 * np.pi - turned, dtype=np.float64)


def _length_within(start: Floats, way: Floats, ball: float) -> Floats:
    """Length of segments (n, 3) from `start` along `way` within a ball round the origin."""
    size = lengths(way)
    unit = way / np.maximum(size, _NO_AREA)[:, None]
    foot = -np.einsum("ij,ij->i", start, unit)
    beside = np.einsum("ij,ij->i", start, start) - foot**2
    half = np.sqrt(np.maximum(ball**2 - beside, 0.0))
    return np.asarray(np.maximum(np.minimum(foot + half, size) - np.maximum(foot - half, 0.0), 0.0))
