"""The connected bodies of one group of a sculpt, as the kernel or the triangles alone tell them."""

from dataclasses import dataclass

import numpy as np
from manifold3d import Error, Manifold
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.components import components
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.geometry.mesh.weld import welded
from holdwright.geometry.repair.open_sheets import flat_words, is_flat
from holdwright.geometry.repair.repair_account import Mending

_LEAST_CLOSED = 4
"""Triangles that a closed surface has at least."""

_FEW_BITS = 50
"""So many bits of surface, too small to be closed, are looked at one by one; more are taken together."""


@dataclass(frozen=True, eq=False)
class Body:
    """A connected piece before it has a name; `surface` is kept of what is not closed by itself."""

    triangles: int
    bounds: Floats
    solid: Solid | None
    problem: str
    turned: bool
    surface: tuple[Floats, Indices] | None = None
    mending: Mending | None = None


def bodies_of(group: Piece) -> list[Body]:
    """Hand the group to the kernel as it is; only where that fails look closer."""
    kernel = kernel_of(group.vertices, group.triangles)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    vertices, triangles = welded(group.vertices, group.triangles)
    kernel = kernel_of(vertices, triangles)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    parts = connected_parts(len(vertices), triangles)
    bits = [part for part in parts if len(part) < _LEAST_CLOSED]
    if len(bits) <= _FEW_BITS:
        return [single_body(vertices, triangles[part]) for part in parts]
    # Faces by the thousand that share no corner: to be welded all together, not looked at one by one.
    rest = [single_body(vertices, triangles[part]) for part in parts if len(part) >= _LEAST_CLOSED]
    return [*rest, _open_body(vertices, triangles[np.concatenate(bits)])]


def _closed_bodies(kernel: Manifold, group: Piece) -> list[Body]:
    kernels = components(kernel)
    if not kernels:
        return [Body(len(group.triangles), _bounds(group.vertices), None, "it has no volume", turned=False)]
    if len(kernels) == 1:
        return [_closed_body(kernel, len(group.triangles))]
    return [_closed_body(each, each.num_tri()) for each in kernels]


def _closed_body(kernel: Manifold, triangles: int) -> Body:
    solid = Solid(kernel)
    volume = solid.volume
    if is_flat(volume, solid.area, float(np.max(solid.size))):
        return Body(triangles, solid.bounds, None, flat_words(triangles), turned=False)
    if volume > 0:
        return Body(triangles, solid.bounds, solid, "", turned=False)
    outward = Solid(kernel_of(solid.vertices, solid.triangles[:, ::-1]))
    return Body(triangles, solid.bounds, outward, "", turned=True)


def single_body(vertices: Floats, triangles: Indices) -> Body:
    """Judge one connected part of a group that is not closed as a whole."""
    body = _open_body(vertices, triangles)
    kernel = kernel_of(*body.surface) if body.surface is not None else Manifold()
    if kernel.status() == Error.NoError and kernel.num_tri() > 0:
        return _closed_body(kernel, len(triangles))
    return body


def _open_body(vertices: Floats, triangles: Indices) -> Body:
    used, compact = np.unique(triangles, return_inverse=True)
    own, faces = vertices[used], compact.reshape(-1, 3)
    return Body(len(faces), _bounds(own), None, "", turned=False, surface=(own, faces))


def why_not_solid(body: Body) -> str:
    """Say in words what keeps a connected surface that nobody mended from being closed."""
    if body.solid is not None or body.surface is None:
        return ""
    triangles = body.surface[1]
    sides = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    undirected = np.sort(sides, axis=1)
    _, which, uses = np.unique(undirected, axis=0, return_inverse=True, return_counts=True)
    forward = np.bincount(which, weights=np.where(sides[:, 0] < sides[:, 1], 1.0, -1.0))
    open_edges = int(np.count_nonzero(uses == 1))
    crowded = int(np.count_nonzero(uses > 2))
    flipped = int(np.count_nonzero((uses == 2) & (forward != 0)))
    found = [
        (open_edges, f"{_count(open_edges, 'open edge')}"),
        (crowded, f"{_count(crowded, 'edge')} shared by more than two faces"),
        (flipped, f"{_count(flipped, 'edge')} whose two faces look opposite ways"),
    ]
    met = [text for number, text in found if number]
    return "it has " + " and ".join(met) if met else "its faces do not bound a solid"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _bounds(vertices: Floats) -> Floats:
    return np.array([vertices.min(axis=0), vertices.max(axis=0)])


def connected_parts(vertex_count: int, triangles: Indices) -> list[Indices]:
    """Part triangles, given by number, into surfaces joined by a vertex, in order of the first."""
    ends = np.concatenate([triangles[:, :2], triangles[:, 1:]])
    links = coo_array(
        (np.ones(len(ends), dtype=np.int8), (ends[:, 0], ends[:, 1])), shape=(vertex_count,) * 2
    )
    _, labels = connected_components(links, directed=False)
    of_triangle = labels[triangles[:, 0]]
    order = np.argsort(of_triangle, kind="stable")
    starts = np.flatnonzero(np.diff(of_triangle[order])) + 1
    return list(np.split(order, starts))
