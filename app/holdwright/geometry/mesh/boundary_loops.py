"""The rims of holes in a surface."""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh


@dataclass(frozen=True, eq=False)
class Loop:
    """A closed rim, with the plane nearest to it."""

    corners: Indices
    """(n,) vertices in the order in which a face that closes the hole is wound."""
    middle: Floats
    normal: Floats
    """middle and normal: (3,) of the plane; the normal as the closing face looks (Newell's; twice the area
    long before it was made a unit vector)."""
    span: float
    """Greatest distance across, along the box's diagonal."""
    area: float
    """Area the rim bounds as seen along the normal."""
    lift: float
    """Farthest that a vertex is off the plane."""

    @property
    def flatness(self) -> float:
        """How far it is off its plane, as a share of its span."""
        return self.lift / self.span if self.span > 0 else 0.0


def boundary_loops(surface: Mesh) -> list[Loop]:
    """Find the holes' rims of a consistently wound surface, none meeting a vertex twice.

    Where holes touch in a vertex they are told apart; edges used unequally in both directions count as often
    as they lack a partner, so that filling all loops always gives a closed surface.
    """
    edge, uses, forward = surface.edges
    surplus = 2 * forward - uses
    open_ = np.flatnonzero(surplus)
    low, high = np.divmod(edge[open_], len(surface.vertices))
    needed = surplus[open_]
    begin, finish = np.where(needed > 0, high, low), np.where(needed > 0, low, high)
    times = np.abs(needed)
    rims = _simple_rings(np.repeat(begin, times).tolist(), np.repeat(finish, times).tolist())
    return [_loop(surface.vertices, np.array(ring)) for ring in rims]


def _simple_rings(begin: list[int], finish: list[int]) -> list[list[int]]:
    """Part directed edges, as many into each vertex as out of it, into rings without a repeated vertex."""
    onward: dict[int, list[int]] = defaultdict(list)
    for first, second in zip(begin, finish, strict=True):
        onward[first].append(second)
    rings = []
    for origin in begin:
        while onward[origin]:
            path, place = [origin], {origin: 0}
            while True:
                there = onward[path[-1]].pop()
                if there not in place:
                    place[there] = len(path)
                    path.append(there)
                    continue
                ring = path[place[there] :]
                rings.append(ring)
                for vertex in ring[1:]:
                    del place[vertex]
                del path[place[there] + 1 :]
                if len(path) == 1:
                    break
    return rings


def _loop(vertices: Floats, ring: Indices) -> Loop:
    points = vertices[ring]
    middle = points.mean(axis=0)
    around = points - middle
    ahead = np.concatenate([around[1:], around[:1]])
    # By hand: there may be thousands of loops, and numpy's own takes ten times as long for a short one.
    turns = around.T @ ahead
    newell = np.array([turns[1, 2] - turns[2, 1], turns[2, 0] - turns[0, 2], turns[0, 1] - turns[1, 0]]) / 2.0
    area = float(np.linalg.norm(newell))
    span = float(np.linalg.norm(np.ptp(points, axis=0)))
    normal = newell / area if area > 1e-12 * span * span else _least_spread(around)
    return Loop(ring, middle, normal, span, area, float(np.abs(around @ normal).max()))


def _least_spread(around: Floats) -> Floats:
    return np.asarray(np.linalg.svd(around, full_matrices=True)[2][2])
