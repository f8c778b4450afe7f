"""Taking a raw sculpt apart into connected pieces: each a solid turned outward, or the reason why not."""

from dataclasses import dataclass, replace

import numpy as np
from manifold3d import Error, Manifold
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.components import components
from holdwright.geometry.enclosed import one_of_sheets
from holdwright.geometry.mending import mend
from holdwright.geometry.mending_account import Grade, Limits, Mended, Mending
from holdwright.geometry.overlap import LEAST, lines_through
from holdwright.geometry.resolving import measured, resolved
from holdwright.geometry.sculpt import Floats, Indices, Piece, Sculpt
from holdwright.geometry.sheets import areas_of, flat_words, is_flat
from holdwright.geometry.solid import Solid, kernel_of
from holdwright.geometry.weld import Welded, open_edges, together, weld, welded
from holdwright.progress import SILENT, Progress

_LEAST_CLOSED = 4
"""Triangles that a closed surface has at least."""

_FEW_BITS = 50

_MUCH = 0.25
"""Holes of more than this share of its area make a surface a sheet that may belong to others."""


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
    mending
        What was done to make a solid of it; None where it came as one.
    """

    name: str
    triangles: int
    bounds: Floats
    solid: Solid | None
    problem: str = ""
    turned: bool = False
    mending: Mending | None = None

    @property
    def grade(self) -> Grade:
        """How much of the solid's surface is the sculpt's own."""
        if self.mending is not None:
            return self.mending.grade
        return "mended" if self.turned else "as sculpted"

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
    mending: Mending | None = None


def take_apart(
    sculpt: Sculpt, progress: Progress = SILENT, limits: Limits | None = None
) -> tuple[SculptPiece, ...]:
    """Give every connected piece of every group, in file order.

    Parameters
    ----------
    sculpt
        As read.
    progress
        Told how far it has come.
    limits
        How far to mend what is not closed or overlaps itself; None: not at all.
    """
    found: dict[str, list[_Body]] = {}
    for number, group in enumerate(sculpt.pieces):
        progress.report(0.4 * number / len(sculpt.pieces), "taking the sculpt apart")
        found[group.name] = _bodies(group)
    found = _closed_together(found)
    if limits is not None:
        found = _mended(found, limits, progress.part(0.4, 0.8))
        found = _resolved(found, limits, progress.part(0.8, 1.0))
    return tuple(piece for name, bodies in found.items() for piece in _named(name, bodies))


def _mended(found: dict[str, list[_Body]], limits: Limits, progress: Progress) -> dict[str, list[_Body]]:
    """Close what is open, group by group: pieces of one group may meet along a crack."""
    mended = {}
    doubtful: list[tuple[str, Welded, list[_Body]]] = []
    for number, (name, bodies) in enumerate(found.items()):
        progress.report(number / len(found), f"mending {name}")
        surfaces = [body.surface for body in bodies if body.surface is not None]
        mended[name] = [body for body in bodies if body.surface is None]
        if not surfaces:
            continue
        whole = weld(*together(surfaces), limits.extent)
        for part in _connected_parts(len(whole.vertices), whole.triangles):
            used, compact = np.unique(whole.triangles[part], return_inverse=True)
            surface = replace(whole, vertices=whole.vertices[used], triangles=compact.reshape(-1, 3))
            closed = [_body_of(each) for each in mend(surface, limits)]
            mended[name] += closed
            if any(_is_doubtful(body, surface) for body in closed):
                doubtful.append((name, surface, closed))
    return _of_sheets(mended, doubtful, limits) if len(doubtful) > 1 else mended


def _is_doubtful(body: _Body, surface: Welded) -> bool:
    """Tell whether a surface bounds nothing by itself, or was closed by much beside what there was."""
    if body.solid is None or body.mending is None:
        return body.solid is None
    area = float(areas_of(surface.vertices, surface.triangles).sum())
    return sum(hole.area for hole in body.mending.holes) > _MUCH * area


def _of_sheets(
    mended: dict[str, list[_Body]], sheets: list[tuple[str, Welded, list[_Body]]], limits: Limits
) -> dict[str, list[_Body]]:
    """Put one solid in place of sheets that do not join but enclose it."""
    whole = one_of_sheets([(sheet.vertices, sheet.triangles) for _, sheet, _ in sheets], limits.voxel)
    if whole is None:
        return mended
    names = list(dict.fromkeys(name for name, _, _ in sheets))
    gone = {id(body) for _, _, bodies in sheets for body in bodies}
    joined = {name: [body for body in bodies if id(body) not in gone] for name, bodies in mended.items()}
    name = _joint_name(names)
    joined[name] = [*joined.get(name, []), _body_of(whole)]
    return joined


def _body_of(each: Mended) -> _Body:
    return _Body(each.triangles, each.bounds, each.solid, each.problem, turned=False, mending=each.mending)


def _resolved(found: dict[str, list[_Body]], limits: Limits, progress: Progress) -> dict[str, list[_Body]]:
    """Look for closed pieces that overlap themselves, all in one go, and rid them of it."""
    progress.report(0.0, "looking for overlaps")
    asked = [
        (name, place, (body.solid.vertices, body.solid.triangles))
        for name, bodies in found.items()
        for place, body in enumerate(bodies)
        if body.solid is not None and body.mending is None
    ]
    if not asked:
        return found
    met = lines_through([surface for _, _, surface in asked])
    for number in np.flatnonzero(met.doubled > LEAST * met.volume):
        name, place, surface = asked[number]
        progress.report(float(number) / len(asked), f"parting {name}, which overlaps itself")
        body = found[name][place]
        before = Mending("mended", before=body.solid.volume if body.solid is not None else None)
        done = resolved(*surface, before, limits.voxel)
        if done is not None:
            nothing = (surface[0], np.zeros((0, 3), dtype=np.int64))
            found[name][place] = replace(body, solid=done[0], mending=measured(*done, surface, nothing))
    return found


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
            body.problem or _why_not_solid(body),
            body.turned,
            body.mending,
        )
        for rank, body in enumerate(bodies, start=1)
    ]


def _closed_together(found: dict[str, list[_Body]]) -> dict[str, list[_Body]]:
    """Join open pieces of different groups along the edges they share.

    A file may part one surface into groups, by material for one.
    """
    patches = [(name, body) for name, bodies in found.items() for body in bodies if body.surface is not None]
    if len({name for name, _ in patches}) < 2:
        return found
    surfaces = [body.surface for _, body in patches if body.surface is not None]
    vertices, triangles = welded(*together(surfaces))
    of_patch = np.repeat(np.arange(len(patches)), [len(triangles) for _, triangles in surfaces])
    joined = dict(found)
    for chosen in _connected_parts(len(vertices), triangles):
        members = [patches[index] for index in np.unique(of_patch[chosen])]
        names = list(dict.fromkeys(name for name, _ in members))
        if len(names) < 2 or not _share_edges(vertices, triangles, chosen, of_patch):
            continue
        body = _single_body(vertices, triangles[chosen])
        for name, patch in members:
            joined[name] = [other for other in joined[name] if other is not patch]
        joined[_joint_name(names)] = [body]
    return joined


def _share_edges(vertices: Floats, triangles: Indices, chosen: Indices, of_patch: Indices) -> bool:
    """Tell whether patches have fewer open edges together than each by itself."""
    count = len(vertices)
    apart = sum(
        len(open_edges(triangles[chosen[of_patch[chosen] == patch]], count))
        for patch in np.unique(of_patch[chosen])
    )
    return len(open_edges(triangles[chosen], count)) < apart


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
    parts = _connected_parts(len(vertices), triangles)
    bits = [part for part in parts if len(part) < _LEAST_CLOSED]
    if len(bits) <= _FEW_BITS:
        return [_single_body(vertices, triangles[part]) for part in parts]
    # Faces by the thousand that share no corner: to be welded all together, not looked at one by one.
    rest = [_single_body(vertices, triangles[part]) for part in parts if len(part) >= _LEAST_CLOSED]
    return [*rest, _open_body(vertices, triangles[np.concatenate(bits)])]


def _closed_bodies(kernel: Manifold, group: Piece) -> list[_Body]:
    kernels = components(kernel)
    if not kernels:
        return [_Body(len(group.triangles), _bounds(group.vertices), None, "it has no volume", turned=False)]
    if len(kernels) == 1:
        return [_closed_body(kernel, len(group.triangles))]
    return [_closed_body(each, each.num_tri()) for each in kernels]


def _closed_body(kernel: Manifold, triangles: int) -> _Body:
    solid = Solid(kernel)
    volume = solid.volume
    if is_flat(volume, solid.area, float(np.max(solid.size))):
        return _Body(triangles, solid.bounds, None, flat_words(triangles), turned=False)
    if volume > 0:
        return _Body(triangles, solid.bounds, solid, "", turned=False)
    outward = Solid(kernel_of(solid.vertices, solid.triangles[:, ::-1]))
    return _Body(triangles, solid.bounds, outward, "", turned=True)


def _single_body(vertices: Floats, triangles: Indices) -> _Body:
    """Judge one connected part of a group that is not closed as a whole."""
    body = _open_body(vertices, triangles)
    kernel = kernel_of(*body.surface) if body.surface is not None else Manifold()
    if kernel.status() == Error.NoError and kernel.num_tri() > 0:
        return _closed_body(kernel, len(triangles))
    return body


def _open_body(vertices: Floats, triangles: Indices) -> _Body:
    used, compact = np.unique(triangles, return_inverse=True)
    own, faces = vertices[used], compact.reshape(-1, 3)
    return _Body(len(faces), _bounds(own), None, "", turned=False, surface=(own, faces))


def _why_not_solid(body: _Body) -> str:
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
