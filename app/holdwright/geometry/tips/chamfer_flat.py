"""The flat that a plane leaves on a tip: its outline, the largest circle in it, and what it cuts off.

Works on the bare mesh, so that many depths can be tried for the price of one cut.
"""

import math
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.mesh.connectivity import any_corner, linked_sets
from holdwright.geometry.mesh.mesh import cross_products, lengths


@dataclass(frozen=True, eq=False)
class Outline:
    """The edge of the flat a plane leaves, as loose segments."""

    segments: Floats
    """(n, 2, 2) mm in the plane: from and to, the flat on the left."""
    lean: Floats
    """(n,) cosine of the angle between the plane's normal and that of the surface met there."""

    @property
    def area(self) -> float:
        """Area of the flat, mm2."""
        start, end = self.segments[:, 0], self.segments[:, 1]
        return float(np.sum(start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0])) / 2.0

    def depth(self, points: Floats) -> Floats:
        """Give how far (n, 2) points lie inside the outline, mm; negative outside."""
        start, end = self.segments[:, 0], self.segments[:, 1]
        along = end - start
        square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-30)
        x = points[:, None, 0] - start[None, :, 0]
        y = points[:, None, 1] - start[None, :, 1]
        fraction = np.clip((x * along[:, 0] + y * along[:, 1]) / square, 0.0, 1.0)
        near = np.sqrt(((x - fraction * along[:, 0]) ** 2 + (y - fraction * along[:, 1]) ** 2).min(axis=1))
        rising = (y >= 0.0) & (points[:, None, 1] < end[None, :, 1])
        falling = (y < 0.0) & (points[:, None, 1] >= end[None, :, 1])
        left = along[:, 0] * y - along[:, 1] * x
        turns = (rising & (left > 0.0)).sum(axis=1) - (falling & (left < 0.0)).sum(axis=1)
        return np.asarray(np.where(turns > 0, near, -near))

    def largest_circle(self, precision: float = 0.01) -> tuple[Floats, float]:
        """Give middle (2,) and radius, to `precision`, of the largest circle inside the outline, mm.

        Squares that cannot hold the middle of a larger circle are dropped, the others quartered.
        """
        low, high = self.segments.reshape(-1, 2).min(axis=0), self.segments.reshape(-1, 2).max(axis=0)
        half = max(float((high - low).min()) / 4.0, precision, float((high - low).max()) / 64.0)
        count = np.maximum(np.ceil((high - low) / (2.0 * half)).astype(np.int64), 1)
        across, up = np.meshgrid(np.arange(count[0]), np.arange(count[1]), indexing="ij")
        middles = low + (np.stack([across, up], axis=-1).reshape(-1, 2) * 2 + 1) * half
        centre, radius = middles[0], 0.0
        quarter = np.array([[-1.0, -1.0], [-1.0, 1.0], [1.0, -1.0], [1.0, 1.0]])
        while len(middles):
            depth = self.depth(middles)
            deepest = int(np.argmax(depth))
            if depth[deepest] > radius:
                centre, radius = middles[deepest], float(depth[deepest])
            middles = middles[depth + half * math.sqrt(2.0) > radius + precision]
            half /= 2.0
            middles = (middles[:, None, :] + quarter * half).reshape(-1, 2)
        return centre, radius


@dataclass(frozen=True, eq=False)
class Slope:
    """The part of a mesh on a plane's far side that hangs together with one vertex, and the way toward it."""

    corners: Floats
    """(n, 3, 3) mm: triangles with at least one corner beyond the deepest plane; x and y along the plane, z
    along its normal, from the apex."""
    triangles: Indices
    """(n, 3) int64: the same triangles by vertex numbers 0 to `count`."""
    count: int
    """Number of vertices."""
    apex: int
    """Number of the apex's vertex."""
    lean: Floats
    """(n,) z of the triangles' unit normals."""

    @classmethod
    def of(cls, points: Floats, triangles: Indices, apex: int, deepest: float) -> "Slope":
        """Take the part of a mesh above z = -`deepest` that hangs together with a vertex; see `framed`."""
        reaching = np.flatnonzero(any_corner(points[:, 2] > -deepest, triangles))
        used, named = np.unique(triangles[reaching], return_inverse=True)
        named = named.reshape(-1, 3)
        here = int(np.searchsorted(used, apex))
        joined = _joined(points[used, 2] > -deepest, named, here)
        kept = named[any_corner(joined, named)]
        corners = points[used][kept]
        normals = cross_products(points[used], kept)
        length = np.maximum(lengths(normals), 1e-300)
        return cls(corners, kept, len(used), here, normals[:, 2] / length)

    def shallower(self, depth: float) -> "Slope":
        """Give what hangs together with the apex above z = -`depth`."""
        above = np.zeros(self.count, dtype=bool)
        above[self.triangles.reshape(-1)] = self.corners[:, :, 2].reshape(-1) > -depth
        joined = _joined(above, self.triangles, self.apex)
        kept = any_corner(joined, self.triangles)
        return Slope(self.corners[kept], self.triangles[kept], self.count, self.apex, self.lean[kept])

    def outline(self, depth: float) -> Outline:
        """Give the edge of the flat at z = -`depth`; the slope must reach no deeper than that."""
        height = self.corners[:, :, 2] + depth
        above = height > 0.0
        above_count = above[:, 0].astype(np.int8) + above[:, 1] + above[:, 2]
        cut = np.flatnonzero((above_count > 0) & (above_count < 3))
        corners, above, height = self.corners[cut], above[cut], height[cut]
        # the corner that is alone on its side comes first
        lone = np.where(above_count[cut] == 1, np.argmax(above, axis=1), np.argmin(above, axis=1))
        turn = (lone[:, None] + np.arange(3)) % 3
        corners = np.take_along_axis(corners, turn[:, :, None], axis=1)
        height = np.take_along_axis(height, turn, axis=1)
        first = _crossing(corners[:, 0], corners[:, 1], height[:, 0], height[:, 1])
        second = _crossing(corners[:, 0], corners[:, 2], height[:, 0], height[:, 2])
        lone_above = height[:, 0] > 0.0
        start = np.where(lone_above[:, None], first, second)
        end = np.where(lone_above[:, None], second, first)
        return Outline(np.stack([start, end], axis=1), self.lean[cut])

    def beyond(self, depth: float) -> Floats:
        """Give the vertices above z = -`depth`, (n, 3) mm, some of them several times."""
        corners = self.corners.reshape(-1, 3)
        return np.asarray(corners[corners[:, 2] > -depth])

    def volume(self, depth: float) -> float:
        """Volume of what lies above z = -`depth`, mm3; the slope must reach no deeper than that."""
        raised = self.corners + np.array([0.0, 0.0, depth])
        height = raised[:, :, 2]
        above = height > 0.0
        whole = above.all(axis=1)
        total = float(_cones(raised[whole]))
        for corner in range(3):
            order = [corner, (corner + 1) % 3, (corner + 2) % 3]
            for lone_above in (True, False):
                chosen = (above[:, corner] == lone_above) & (above.sum(axis=1) == (1 if lone_above else 2))
                a, b, c = (raised[chosen][:, place] for place in order)
                ab, ac = _on_plane(a, b), _on_plane(a, c)
                if lone_above:
                    total += float(_cones(np.stack([a, ab, ac], axis=1)))
                else:
                    total += float(
                        _cones(np.stack([ab, b, c], axis=1)) + _cones(np.stack([ab, c, ac], axis=1))
                    )
        return total


def framed(vertices: Floats, normal: Floats, apex: Floats) -> tuple[Floats, Floats]:
    """Turn points so that z is along `normal` and the apex is the origin.

    Returns
    -------
    points
        (n, 3) mm.
    axes
        (3, 3): rows are the new x, y and z in the old frame.
    """
    aside = np.eye(3)[int(np.argmin(np.abs(normal)))]
    x = np.cross(aside, normal)
    x /= np.linalg.norm(x)
    axes = np.array([x, np.cross(normal, x), normal])
    return (vertices - apex) @ axes.T, axes


def _joined(chosen: Mask, triangles: Indices, start: int) -> Mask:
    """Tell which of the chosen vertices hang together with one over the mesh's edges."""
    ends = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    ends = ends[chosen[ends].all(axis=1)]
    label = linked_sets(ends[:, 0], ends[:, 1], len(chosen))[1]
    return np.asarray((label == label[start]) & chosen)


def _crossing(start: Floats, end: Floats, start_height: Floats, end_height: Floats) -> Floats:
    fraction = start_height / (start_height - end_height)
    return np.asarray(start[:, :2] + fraction[:, None] * (end[:, :2] - start[:, :2]))


def _on_plane(start: Floats, end: Floats) -> Floats:
    fraction = start[:, 2] / (start[:, 2] - end[:, 2])
    return np.asarray(start + fraction[:, None] * (end - start))


def _cones(corners: Floats) -> float:
    """Add up the signed volumes of the cones from the origin to triangles (n, 3, 3)."""
    return float(np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))) / 6.0
