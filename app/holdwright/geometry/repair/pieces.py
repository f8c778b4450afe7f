"""Taking a raw sculpt apart into connected pieces: each a solid turned outward, or the reason why not."""

from contextlib import closing
from dataclasses import dataclass, replace

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import open_edges
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.mesh.weld import weld, welded
from holdwright.geometry.repair.bodies import bodies_of, single_body, why_not_closed
from holdwright.geometry.repair.enclosed_volume import one_of_sheets
from holdwright.geometry.repair.overlap_detection import LEAST, lines_through
from holdwright.geometry.repair.repair_account import Body, Defect, Grade, Limits, Mending
from holdwright.geometry.repair.repair_surface import mend
from holdwright.geometry.repair.self_overlap import SelfOverlap, self_overlap
from holdwright.geometry.repair.self_overlap_repair import measured, resolved
from holdwright.processes import spread
from holdwright.progress import SILENT, Progress

_MUCH = 0.25
"""Holes of more than this share of its area make a surface a sheet that may belong to others."""

_WORTH_COPIES = 10_000
"""Triangles of pieces that overlap themselves, above which copies of the process work on them."""

Groups = tuple[str, ...]
Found = dict[Groups, list[Body]]
"""The bodies found, by the names of the groups that they are made of."""


@dataclass(frozen=True, eq=False)
class SculptPiece:
    """A connected piece of the sculpt, in file units relative to the sculpt's origin."""

    name: str
    """The group's name, with "/1", "/2" ... in falling size where the group is in several pieces."""
    groups: tuple[str, ...]
    """Names of the groups it is made of, one or more."""
    triangles: int
    """Number of triangles as they came."""
    bounds: Floats
    """(2, 3) least and greatest corner."""
    solid: Solid | None
    """The piece as a closed solid, outward; None when it is none."""
    defect: Defect | None = None
    """Why it is no solid; None for a solid."""
    turned: bool = False
    """Whether it came inside out."""
    mending: Mending | None = None
    """What was done to make a solid of it; None where it came as one."""

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
    found: Found = {}
    copies: dict[Groups, tuple[Groups, Floats]] = {}
    for number, group in enumerate(sculpt.pieces):
        text = f"taking the sculpt apart, piece {number + 1} of {len(sculpt.pieces)}"
        progress.report(0.4 * number / len(sculpt.pieces), text)
        original = None if group.copy_of is None else ((group.copy_of[0],), group.copy_of[1])
        if original is not None and all(body.solid for body in found[original[0]]):
            copies[group.name,] = original
            found[group.name,] = []
        else:
            found[group.name,] = bodies_of(group.mesh)
    found = _closed_together(found)
    if limits is not None:
        found = _mended(found, limits, progress.part(0.4, 0.8))
        found = _resolved(found, limits, progress.part(0.8, 1.0))
    for groups, (source, motion) in copies.items():
        found[groups] = [_copied(body, motion) for body in found[source]]
    return tuple(piece for groups, bodies in found.items() for piece in _named(groups, bodies))


def _copied(body: Body, motion: Floats) -> Body:
    assert body.solid is not None
    solid = body.solid.moved(motion)
    return replace(body, solid=solid, bounds=solid.bounds)


def _mended(found: Found, limits: Limits, progress: Progress) -> Found:
    """Close what is open, group by group: pieces of one group may meet along a crack."""
    mended = {}
    doubtful: list[tuple[Groups, Mesh, list[Body]]] = []
    for number, (groups, bodies) in enumerate(found.items()):
        progress.report(number / len(found), f"mending {_name(groups)}, {number + 1} of {len(found)}")
        surfaces = [body.surface for body in bodies if body.surface is not None]
        mended[groups] = [body for body in bodies if body.surface is None]
        if not surfaces:
            continue
        whole = weld(Mesh.joined(surfaces), limits.extent)
        for surface, closed in mend(whole, limits):
            mended[groups] += closed
            if any(_is_doubtful(body, surface) for body in closed):
                doubtful.append((groups, surface, closed))
    return _of_sheets(mended, doubtful, limits) if len(doubtful) > 1 else mended


def _is_doubtful(body: Body, surface: Mesh) -> bool:
    """Tell whether a surface bounds nothing by itself, or was closed by much beside what there was."""
    if body.solid is None or body.mending is None:
        return body.solid is None
    return sum(hole.area for hole in body.mending.holes) > _MUCH * surface.area


def _of_sheets(mended: Found, sheets: list[tuple[Groups, Mesh, list[Body]]], limits: Limits) -> Found:
    """Put one solid in place of sheets that do not join but enclose it."""
    whole = one_of_sheets([sheet for _, sheet, _ in sheets], limits.voxel)
    if whole is None:
        return mended
    together_of = tuple(dict.fromkeys(group for groups, _, _ in sheets for group in groups))
    gone = {id(body) for _, _, bodies in sheets for body in bodies}
    joined = {key: [body for body in bodies if id(body) not in gone] for key, bodies in mended.items()}
    joined[together_of] = [*joined.get(together_of, []), whole]
    return joined


def _resolved(found: Found, limits: Limits, progress: Progress) -> Found:
    """Look for closed pieces that overlap themselves, all in one go, and rid them of it."""
    progress.report(0.0, "looking for overlaps")
    asked = [
        (groups, place, body.solid)
        for groups, bodies in found.items()
        for place, body in enumerate(bodies)
        if body.solid is not None and body.mending is None
    ]
    if not asked:
        return found
    met = lines_through([solid.mesh for _, _, solid in asked])
    crossing = [asked[number] for number in np.flatnonzero(met.doubled > LEAST * met.volume)]
    surfaces = [solid.mesh for _, _, solid in crossing]
    worth = sum(len(surface.triangles) for surface in surfaces) > _WORTH_COPIES
    with closing(spread(self_overlap, surfaces, copies=worth)) as overlaps:
        for done, (number, overlap) in enumerate(overlaps):
            groups, place, solid = crossing[number]
            progress.report(done / len(crossing), f"parting {_name(groups)}, which overlaps itself")
            found[groups][place] = _parted(found[groups][place], solid, overlap, limits)
    return found


def _parted(body: Body, solid: Solid, overlap: SelfOverlap, limits: Limits) -> Body:
    own = solid.mesh
    done = resolved(own, Mending("mended", before=solid.volume), limits.voxel, overlap)
    if done is None:
        return body
    # What is cut where it crosses itself is the sculpt's own; only a new surface is off it.
    account = measured(*done, own, Mesh(own.vertices, own.triangles[:0])) if done[1].voxel else done[1]
    return replace(body, solid=done[0], mending=account)


def _named(groups: Groups, bodies: list[Body]) -> list[SculptPiece]:
    name = _name(groups)
    if len(bodies) > 1:
        bodies = sorted(
            bodies, key=lambda body: (-float(np.prod(np.ptp(body.bounds, axis=0))), *body.bounds[0])
        )
    return [
        SculptPiece(
            name if len(bodies) == 1 else f"{name}/{rank}",
            groups,
            body.triangles,
            body.bounds,
            body.solid,
            None if body.solid is not None else why_not_closed(body),
            body.turned,
            body.mending,
        )
        for rank, body in enumerate(bodies, start=1)
    ]


def _closed_together(found: Found) -> Found:
    """Join open pieces of different groups along the edges they share.

    A file may part one surface into groups, by material for one.
    """
    patches = [(key, body) for key, bodies in found.items() for body in bodies if body.surface is not None]
    if len({key for key, _ in patches}) < 2:
        return found
    surfaces = [body.surface for _, body in patches if body.surface is not None]
    whole = welded(Mesh.joined(surfaces))
    of_patch = np.repeat(np.arange(len(patches)), [len(surface.triangles) for surface in surfaces])
    joined = dict(found)
    for chosen in whole.parts():
        members = [patches[index] for index in np.unique(of_patch[chosen])]
        groups = tuple(dict.fromkeys(group for key, _ in members for group in key))
        if len(groups) < 2 or not _share_edges(whole, chosen, of_patch[chosen]):
            continue
        body = single_body(whole.submesh(chosen))
        for key, patch in members:
            joined[key] = [other for other in joined[key] if other is not patch]
        joined[groups] = [body]
    return joined


def _share_edges(whole: Mesh, chosen: Indices, of_patch: Indices) -> bool:
    """Tell whether patches have fewer open edges together than each by itself."""
    triangles, count = whole.triangles[chosen], len(whole.vertices)
    apart = sum(len(open_edges(triangles[of_patch == patch], count)) for patch in np.unique(of_patch))
    return len(open_edges(triangles, count)) < apart


def _name(groups: Groups) -> str:
    """Name a piece, for the user, by the groups it is made of."""
    return " + ".join(groups) if len(groups) <= 3 else f"{groups[0]} + {len(groups) - 1} more"
