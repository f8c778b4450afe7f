"""Taking a raw sculpt apart into connected pieces: each a solid turned outward, or the reason why not."""

from dataclasses import dataclass

import numpy as np
from manifold3d import Error, Manifold
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.sculpt import Floats, Indices, Piece, Sculpt
from holdwright.geometry.solid import Solid, kernel_of
from holdwright.progress import SILENT, Progress

FLAT = 1e-7
"""Volume below this share of the cube of its extent means a piece has no inside (a folded sheet)."""


@dataclass(frozen=True, eq=False)
class SculptPiece:
    """A connected piece of the sculpt, in file units relative to the sculpt's origin.

    Attributes
    ----------
    name
        The group's name, with "/1", "/2" ... in falling size where the group is in several pieces.
    triangles
        Number of triangles as they came.
    bounds
        (2, 3) least and greatest corner.
    solid
        The piece as a closed solid, outward; None when it is none.
    problem
        Why it is no solid, as the end of a sentence ("it has 12 open edges"); empty for a solid.
    turned
        Whether it came inside out.
    """

    name: str
    triangles: int
    bounds: Floats
    solid: Solid | None
    problem: str = ""
    turned: bool = False

    @property
    def size(self) -> Floats:
        """(3,) extent along the file's axes."""
        return np.asarray(self.bounds[1] - self.bounds[0])


@dataclass(frozen=True, eq=False)
class _Body:
    """A connected piece before it has a name; `surface` is kept of what is not closed by itself."""

    triangles: int
    bounds: Floats
    solid: Solid | None
    problem: str
    turned: bool
    surface: tuple[Floats, Indices] | None = None


def take_apart(sculpt: Sculpt, progress: Progress = SILENT) -> tuple[SculptPiece, ...]:
    """Give every connected piece of every group, in file order."""
    found: dict[str, list[_Body]] = {}
    for number, group in enumerate(sculpt.pieces):
        progress.report(number / len(sculpt.pieces), "taking the sculpt apart")
        found[group.name] = _bodies(group)
    return tuple(piece for name, bodies in _closed_together(found).items() for piece in _named(name, bodies))


def _named(name: str, bodies: list[_Body]) -> list[SculptPiece]:
    if len(bodies) > 1:
        bodies = sorted(
            bodies, key=lambda body: (-float(np.prod(np.ptp(body.bounds, axis=0))), *body.bounds[0])
        )
    return [
        SculptPiece(
            name if len(bodies) == 1 else f"{name}/{rank}",
            body.triangles,
            body.bounds,
            body.solid,
            body.problem,
            body.turned,
        )
        for rank, body in enumerate(bodies, start=1)
    ]


def _closed_together(found: dict[str, list[_Body]]) -> dict[str, list[_Body]]:
    """Join open pieces of different groups where together they are closed.

    A file may part one closed surface into groups, by material for one. What stays open stays in its group.
    """
    patches = [(name, body) for name, bodies in found.items() for body in bodies if body.surface is not None]
    if len({name for name, _ in patches}) < 2:
        return found
    surfaces = [body.surface for _, body in patches if body.surface is not None]
    shifts = np.cumsum([0, *(len(vertices) for vertices, _ in surfaces[:-1])])
    vertices, triangles = welded(
        np.vstack([vertices for vertices, _ in surfaces]),
        np.vstack([triangles + shift for (_, triangles), shift in zip(surfaces, shifts, strict=True)]),
    )
    of_patch = np.repeat(np.arange(len(patches)), [len(triangles) for _, triangles in surfaces])
    joined = dict(found)
    for chosen in _connected_parts(len(vertices), triangles):
        members = [patches[index] for index in np.unique(of_patch[chosen])]
        body = _single_body(vertices, triangles[chosen])
        names = list(dict.fromkeys(name for name, _ in members))
        if body.solid is None or len(names) < 2:
            continue
        for name, patch in members:
            joined[name] = [other for other in joined[name] if other is not patch]
        joined[_joint_name(names)] = [body]
    return joined


def _joint_name(names: list[str]) -> str:
    if len(names) <= 3:
        return " + ".join(names)
    return f"{names[0]} + {len(names) - 1} more"


def _bodies(group: Piece) -> list[_Body]:
    """Hand the group to the kernel as it is; only where that fails look closer."""
    kernel = kernel_of(group.vertices, group.triangles)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    vertices, triangles = welded(group.vertices, group.triangles)
    kernel = kernel_of(vertices, triangles)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    return [_single_body(vertices, triangles[part]) for part in _connected_parts(len(vertices), triangles)]


def _closed_bodies(kernel: Manifold, group: Piece) -> list[_Body]:
    kernels = kernel.decompose()
    if not kernels:
        return [_Body(len(group.triangles), _bounds(group.vertices), None, "it has no volume", turned=False)]
    if len(kernels) == 1:
        return [_closed_body(kernel, len(group.triangles))]
    return [_closed_body(each, each.num_tri()) for each in kernels]


def _closed_body(kernel: Manifold, triangles: int) -> _Body:
    solid = Solid(kernel)
    volume = solid.volume
    if abs(volume) <= FLAT * float(np.max(solid.size)) ** 3:
        return _Body(triangles, solid.bounds, None, "it is flat: it has no volume", turned=False)
    if volume > 0:
        return _Body(triangles, solid.bounds, solid, "", turned=False)
    outward = Solid(kernel_of(solid.vertices, solid.triangles[:, ::-1]))
    return _Body(triangles, solid.bounds, outward, "", turned=True)


def _single_body(vertices: Floats, triangles: Indices) -> _Body:
    """Judge one connected part of a group that is not closed as a whole."""
    used, compact = np.unique(triangles, return_inverse=True)
    own, faces = vertices[used], compact.reshape(-1, 3)
    kernel = kernel_of(own, faces)
    if kernel.status() == Error.NoError and kernel.num_tri() > 0:
        return _closed_body(kernel, len(faces))
    return _Body(len(faces), _bounds(own), None, _why_not_closed(faces), turned=False, surface=(own, faces))


def _why_not_closed(triangles: Indices) -> str:
    """Say in words what keeps a connected surface from being closed."""
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


def welded(vertices: Floats, triangles: Indices) -> tuple[Floats, Indices]:
    """Make vertices with equal coordinates one (minus zero equals zero)."""
    distinct, which = np.unique(vertices + 0.0, axis=0, return_inverse=True)
    return distinct, which.reshape(-1)[triangles]


def _connected_parts(vertex_count: int, triangles: Indices) -> list[Indices]:
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
