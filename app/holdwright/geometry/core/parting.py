"""Parting a whole hold into a light shell and a solid core, with no gap between them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import Manifold, OpType

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import components, reassembled, subtract, union
from holdwright.geometry.mesh.contact_bridge import bars_along, contact_edges
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

_DUST = 1e-6
"""mm3; what rounding leaves between two faces that touch, not a piece of anything."""

_CONTACT = 1e-3
"""mm; pieces nearer than this touch."""


@dataclass(frozen=True, eq=False)
class Parting:
    """A whole in two parts that fill it without gap or overlap."""

    shell: Solid
    core: Solid
    """shell, core: the parts."""
    shell_pieces: tuple[float, ...] = ()
    core_pieces: tuple[float, ...] = ()
    """shell_pieces, core_pieces: volumes of their connected pieces, mm3, largest first; empty where nobody
    looked."""
    to_core: tuple[float, ...] = ()
    to_shell: tuple[float, ...] = ()
    """to_core, to_shell: volumes of the slivers each part took over from the other, mm3."""


def part_whole(whole: Solid, frusta: Sequence[Frustum]) -> Parting:
    """Part `whole` at the surface of the frusta, fused where they overlap: what lies inside is the core.

    Raises
    ------
    GeometryError
        When either part would be empty.
    """
    cutter = union([frustum.solid for frustum in frusta], "the core's outline").kernel
    within, without = whole.kernel.split(cutter)
    if within.num_tri() == 0:
        raise GeometryError("The core does not meet the hold; move its bore or make the core wider.")
    if without.num_tri() == 0:
        raise GeometryError("The core takes the whole hold and leaves no shell; give it a smaller diameter.")
    return Parting(Solid.checked(without, "the shell"), Solid.checked(within, "the core"))


def gather(parting: Parting, sliver: float) -> Parting:
    """Count the pieces of both parts, and give slivers cut off from one to the other where they touch it.

    Takes both parts apart, so do it only where the parting face meets the hold's surface: a parting face that
    stays inside leaves a whole in one piece as two parts in one piece each.

    Parameters
    ----------
    sliver
        Pieces of less volume than this are slivers, mm3. The largest piece never is one.
    """
    shell, shell_slivers = _slivers(components(parting.shell.kernel), sliver)
    core, core_slivers = _slivers(components(parting.core.kernel), sliver)
    shell, core, to_core = _hand_over(shell, core, shell_slivers)
    core, shell, to_shell = _hand_over(core, shell, core_slivers)
    moved = to_core or to_shell
    return Parting(
        shell=Solid.checked(_together(shell), "the shell") if moved else parting.shell,
        core=Solid.checked(_together(core), "the core") if moved else parting.core,
        shell_pieces=_volumes(shell),
        core_pieces=_volumes(core),
        to_core=to_core,
        to_shell=to_shell,
    )


def bridged(parting: Parting, boxes: Sequence[Floats]) -> tuple[Parting, Floats, Floats]:
    """Join each part by bars of material where it touches itself; the other part gives them up.

    Parameters
    ----------
    boxes
        (2, 3) corners of where to look, mm.

    Returns
    -------
    tuple
        The parting, the (k, 2, 3) edges that were joined, and those that still touch.
    """
    parts = [parting.shell, parting.core]
    floor = min(float(part.bounds[0, 2]) for part in parts)
    joined = []
    for own, other in ((0, 1), (1, 0)):
        edges = contact_edges(parts[own], boxes)
        if len(edges):
            bars = bars_along(edges, floor)
            parts[own] = union([parts[own], bars], "a part joined where it touched itself")
            parts[other] = subtract(parts[other], [bars], "the part beside it")
            joined.append(edges)
    if not joined:
        return parting, np.zeros((0, 2, 3)), np.zeros((0, 2, 3))
    left = np.concatenate([contact_edges(part, boxes) for part in parts])
    return replace(parting, shell=parts[0], core=parts[1]), np.concatenate(joined), left


def faces_of_whole(part: Solid, frusta: Sequence[Frustum]) -> Mesh:
    """Give the surface of a part that was the whole's surface: all but its parting face.

    Known from the kernel's record of where each triangle came from, so it holds for a part fresh from
    `part_whole`.
    """
    mesh = part.kernel.to_mesh64()
    cutters = [frustum.solid.kernel.original_id() for frustum in frusta]
    runs = np.asarray(mesh.run_index, dtype=np.int64)
    origins = np.repeat(np.asarray(mesh.run_original_id, dtype=np.int64), (runs[1:] - runs[:-1]) // 3)
    surface = part.mesh
    return Mesh(surface.vertices, surface.triangles[~np.isin(origins, cutters)])


def _slivers(pieces: list[Manifold], limit: float) -> tuple[list[Manifold], list[Manifold]]:
    """Sort pieces into those to keep (cavities among them) and slivers; dust is dropped."""
    large, slivers = [], []
    largest = max(pieces, key=lambda piece: piece.volume())
    for piece in pieces:
        volume = piece.volume()
        if piece is largest or volume >= limit or volume < -_DUST:
            large.append(piece)
        elif volume > _DUST:
            slivers.append(piece)
    return large, slivers


def _hand_over(
    giver: list[Manifold], taker: list[Manifold], slivers: list[Manifold]
) -> tuple[list[Manifold], list[Manifold], tuple[float, ...]]:
    """Fuse slivers to the taker where they touch it; the others stay with the giver."""
    if not slivers:
        return giver, taker, ()
    body = _together(taker)
    touching = [piece.min_gap(body, 1.0) < _CONTACT for piece in slivers]
    moving = [piece for piece, touches in zip(slivers, touching, strict=True) if touches]
    staying = [piece for piece, touches in zip(slivers, touching, strict=True) if not touches]
    if not moving:
        return [*giver, *staying], taker, ()
    fused = components(Manifold.batch_boolean([body, *moving], OpType.Add))
    taken = [piece for piece in fused if abs(piece.volume()) > _DUST]
    return [*giver, *staying], taken, _volumes(moving)


def _together(pieces: list[Manifold]) -> Manifold:
    return pieces[0] if len(pieces) == 1 else reassembled(pieces)


def _volumes(pieces: list[Manifold]) -> tuple[float, ...]:
    return tuple(sorted((float(piece.volume()) for piece in pieces if piece.volume() > 0.0), reverse=True))
