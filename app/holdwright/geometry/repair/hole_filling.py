"""Faces that close a hole: flat where its rim is, else a fair surface from rim to rim."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from manifold3d import triangulate as ear_clip
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.crossings import unrolled
from holdwright.geometry.mesh.boundary_loops import Loop
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.fairing import faired
from holdwright.geometry.repair.repair_account import HoleKind

FLAT = 2e-3
"""A rim no farther off its plane than this share of its span is closed flat."""

_RAGGED = 0.1
"""A rim no farther off its plane than this may have others within, as where a ring was cut off ragged."""

_LARGE = 0.25
"""A hole of this share of the surface's extent was cut, not torn: it is closed as flat as its rim lets it."""

_MOST_AT_ONCE = 120
"""Corners of a rim that the search for the least area takes at once; its cost grows with their cube."""


@dataclass(frozen=True, eq=False)
class Filling:
    """What closes one hole, or several in one plane."""

    kind: HoleKind
    """Either "flat": on the rim's own plane; "fair": a smooth surface; "back": a wall down to a plane
    behind."""
    vertices: Floats
    """(k, 3) new vertices, to be numbered after those there were."""
    triangles: Indices
    """(m, 3) indices."""
    area: float
    """Area of the rim as seen along its normal."""
    span: float
    """Greatest distance across."""
    lift: float
    """How far the rim is off its plane; of a back, the wall's greatest height."""


def fillings(surface: Mesh, loops: Sequence[Loop]) -> list[Filling]:
    """Close every hole of a surface.

    Parameters
    ----------
    surface
        Consistently wound.
    loops
        Its rims, see `boundary_loops`.

    Returns
    -------
    list of Filling
        Their new vertices are numbered on from the surface's, filling after filling.
    """
    made: list[Filling] = []
    number = len(surface.vertices)
    around = _Neighbourhood(surface)
    for group in nested(surface.vertices, loops):
        patch = _flat(surface.vertices, group)
        if patch is None and len(group) > 1:
            patch = _fair_between(around, group, number)
        for loop in [] if patch is not None else group:
            made.append(_fair(around, loop, number))
            number += len(made[-1].vertices)
        if patch is not None:
            made.append(patch)
            number += len(patch.vertices)
    return made


def nested(vertices: Floats, loops: Sequence[Loop]) -> list[list[Loop]]:
    """Bring together rims nearly in one plane, some within others and wound the other way."""
    flat = [loop for loop in loops if loop.flatness <= _RAGGED and len(loop.corners) > 3]
    groups = [[loop] for loop in loops if loop.flatness > _RAGGED or len(loop.corners) <= 3]
    flat.sort(key=lambda loop: -loop.area)
    homes: dict[int, list[Loop]] = {}
    for place, near in enumerate(_within_reach(flat)):
        home = next(
            (outer for outer in near if outer in homes and _is_island(vertices, flat[outer], flat[place])),
            None,
        )
        if home is None:
            homes[place] = [flat[place]]
        else:
            homes[home].append(flat[place])
    return list(homes.values()) + groups


def _within_reach(loops: Sequence[Loop]) -> list[list[int]]:
    """Give for each of some loops, largest first, the earlier ones whose span reaches its middle."""
    found: list[list[int]] = [[] for _ in loops]
    if len(loops) < 2:
        return found
    middles = np.array([loop.middle for loop in loops])
    met = cKDTree(middles).query_ball_point(middles, [loop.span for loop in loops], return_sorted=True)
    for outer, inner in enumerate(met):
        for place in inner:
            if place > outer:
                found[place].append(outer)
    return found


def _is_island(vertices: Floats, outer: Loop, inner: Loop) -> bool:
    ragged = max(outer.flatness, inner.flatness) > FLAT
    if outer.normal @ inner.normal > (-0.9 if ragged else -1.0 + 1e-4):
        return False
    reach = FLAT * outer.span + (outer.lift + inner.lift if ragged else 0.0) / 2
    if abs((inner.middle - outer.middle) @ outer.normal) > reach:
        return False
    ring = _flattened(vertices[outer.corners], outer)
    x, y = _flattened(vertices[inner.corners], outer)[0]
    (x0, y0), (x1, y1) = ring.T, np.roll(ring, -1, axis=0).T
    spans = (y0 > y) != (y1 > y)
    at = x0 + (y - y0) / np.where(spans, y1 - y0, 1.0) * (x1 - x0)
    return bool(np.count_nonzero(spans & (at > x)) % 2)


def _flattened(points: Floats, loop: Loop) -> Floats:
    """Give (n, 2) places in the loop's plane, in which the loop itself turns left."""
    first = np.cross(loop.normal, np.eye(3)[int(np.argmin(np.abs(loop.normal)))])
    first /= np.linalg.norm(first)
    return np.asarray((points - loop.middle) @ np.stack([first, np.cross(loop.normal, first)], axis=1))


def _flat(vertices: Floats, group: Sequence[Loop]) -> Filling | None:
    """Close rims in one plane by its own corners; None where that would fold."""
    largest = group[0]
    if len(group) == 1 and len(largest.corners) == 3:
        return _patch("flat", vertices[:0], largest.corners[None, :], group)
    if largest.flatness > FLAT:
        return None
    cut = clipped(vertices, group)
    return None if cut is None else _patch("flat", vertices[:0], cut, group)


def clipped(vertices: Floats, group: Sequence[Loop]) -> Indices | None:
    """Triangulate what rims enclose as seen along the largest one's normal; None where they cross there."""
    largest = group[0]
    corners = np.concatenate([loop.corners for loop in group])
    rings = [_flattened(vertices[loop.corners], largest) for loop in group]
    try:
        cut = np.asarray(ear_clip(rings), dtype=np.int64).reshape(-1, 3)
    except ValueError:
        return None
    if len(cut) != len(corners) + 2 * (len(group) - 1) - 2:
        return None
    a, b, c = np.concatenate(rings)[cut.T]
    doubles = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    if doubles.min() < -1e-6 * largest.span**2:
        return None
    return corners[cut]


def _fair(around: "_Neighbourhood", loop: Loop, number: int) -> Filling:
    vertices = around.vertices
    cut = clipped(vertices, [loop]) if loop.flatness < 0.2 and len(loop.corners) > 12 else None
    if cut is None:
        cut = loop.corners[_least_area(vertices[loop.corners])]
    if len(loop.corners) < 5:
        return _patch("fair", vertices[:0], cut, [loop])
    torn = loop.span < _LARGE * around.extent
    new, cut = faired(vertices, around.faces(loop.corners), cut, number, bent=torn)
    return _patch("fair", new, cut, [loop])


def _fair_between(around: "_Neighbourhood", group: Sequence[Loop], number: int) -> Filling | None:
    """Close what lies between a ragged rim and those within it; None where they cross as seen along it."""
    cut = clipped(around.vertices, group)
    if cut is None:
        return None
    corners = np.concatenate([loop.corners for loop in group])
    new, cut = faired(around.vertices, around.faces(corners), cut, number, bent=False)
    return _patch("fair", new, cut, group)


class _Neighbourhood:
    """Looks up the faces round vertices of a surface, without going through all of it for each hole."""

    def __init__(self, surface: Mesh) -> None:
        self.vertices, self._triangles = surface.vertices, surface.triangles
        self.extent = surface.diagonal

    @cached_property
    def _uses(self) -> tuple[Indices, Indices]:
        """Every use of a vertex by a triangle, by vertex, and where each vertex's begin."""
        order = np.argsort(self._triangles.ravel(), kind="stable")
        count = np.bincount(self._triangles.ravel(), minlength=len(self.vertices))
        return order, np.concatenate(([0], np.cumsum(count)))

    def faces(self, corners: Indices) -> Indices:
        """Give the (m, 3) triangles that use any of some vertices."""
        order, start = self._uses
        _, place = unrolled(start[corners + 1] - start[corners], start[corners])
        return self._triangles[np.unique(order[place] // 3)]


def _patch(kind: HoleKind, new: Floats, cut: Indices, group: Sequence[Loop]) -> Filling:
    area = group[0].area - sum(loop.area for loop in group[1:])
    return Filling(kind, new, cut, area, group[0].span, max(loop.lift for loop in group))


def _least_area(points: Floats) -> Indices:
    """Triangulate a rim (n, 3) by its own corners, of least area in all: (n - 2, 3) indices.

    A long rim is first parted where it comes nearest to itself.

    Source: G. Barequet and M. Sharir, Filling gaps in the boundary of a polyhedron, CAGD 12, 1995; parting
    after P. Liepa, Filling holes in meshes, SGP 2003.
    """
    parts = [np.arange(len(points))]
    done: list[Indices] = []
    while parts:
        ring = parts.pop()
        if len(ring) <= _MOST_AT_ONCE:
            done.append(ring[_least_area_at_once(points[ring])])
            continue
        first, second = _narrowest(points[ring])
        parts += [ring[first : second + 1], np.concatenate([ring[: first + 1], ring[second:]])]
    return np.concatenate(done)


def _narrowest(points: Floats) -> tuple[int, int]:
    """Find two corners near each other but far along the rim, each side at least a quarter of it."""
    n = len(points)
    chosen = np.unique(np.linspace(0, n - 1, min(n, 600)).astype(int))
    gaps = np.linalg.norm(points[chosen][:, None] - points[chosen][None], axis=2)
    steps = np.abs(chosen[:, None] - chosen[None])
    gaps[(steps < n // 4) | (steps > n - n // 4)] = np.inf
    first, second = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
    low, high = sorted((int(chosen[first]), int(chosen[second])))
    return low, high


def _least_area_at_once(points: Floats) -> Indices:
    n = len(points)
    best = np.zeros((n, n))
    apex = np.zeros((n, n), dtype=np.int64)
    for gap in range(2, n):
        first = np.arange(n - gap)
        last = first + gap
        between = first[:, None] + np.arange(1, gap)
        a, b, c = points[first][:, None], points[between], points[last][:, None]
        area = np.linalg.norm(np.cross(b - a, c - a), axis=2) / 2.0
        total = best[first[:, None], between] + best[between, last[:, None]] + area
        choice = np.argmin(total, axis=1)
        best[first, last] = total[first, choice]
        apex[first, last] = between[first, choice]
    found, open_ = [], [(0, n - 1)]
    while open_:
        first_, last_ = open_.pop()
        if last_ - first_ < 2:
            continue
        middle = int(apex[first_, last_])
        found.append((first_, middle, last_))
        open_ += [(first_, middle), (middle, last_)]
    return np.array(found, dtype=np.int64)
