"""What deserves a look about slabs among the sculpt's pieces: ground blocks left out, and slabs kept."""

from collections.abc import Sequence

from holdwright.errors import GeometryError
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import GroundPiece
from holdwright.geometry.repair.ground_block import LEAST_COVER, as_slab, covered_share
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.operations.import_findings import SculptScale

_TOUCHING = 0.01
"""A block this share of the extent behind the sculpt touches it, as strokes in the air go."""

_LEAST_SLAB = 0.25
"""A slab that covers less of the sculpt's outline is nobody's ground block."""


def ground_findings(ground: Sequence[GroundPiece], whole: Solid, scale: SculptScale) -> list[Finding]:
    """Report ground blocks that were left out, and how the sculpt lies to the wall they give.

    Parameters
    ----------
    ground
        The blocks, the one whose face the back goes by last.
    whole
        The fused sculpt without them, in its own frame.
    scale
        How lengths are told.
    """
    if not ground:
        return []
    last = ground[-1]
    name, place, normal = last.piece.name, last.face.point, last.face.normal
    gap = float((whole.vertices @ normal).min() - place @ normal)
    if len(ground) > 1:
        names = " and ".join(f'"{each.piece.name}"' for each in ground)
        code, number = "ground_block_left_out:several", float(len(ground))
        findings = [new_finding(code, number, names=names, name=name)]
    elif gap > _TOUCHING * float(whole.size.max()):
        findings = [scale.finding("ground_block_left_out:apart", gap, place, name=name)]
    else:
        findings = [new_finding("ground_block_left_out", where=move_points(scale.matrix, place), name=name)]
    behind = 100 * _behind(whole, last) / whole.volume if gap < 0 else 0.0
    if behind > limit_of("behind_ground_block"):
        where = move_points(scale.matrix, place)
        findings.append(new_finding("behind_ground_block", behind, where=where, name=name))
    return findings


def _behind(whole: Solid, block: GroundPiece) -> float:
    """Give the volume behind the face of a block."""
    normal = block.face.normal
    try:
        return cut_by_plane(whole, -normal, -float(block.face.point @ normal)).volume
    except GeometryError:  # a film without volume
        return 0.0


def slab_findings(used: Sequence[SculptPiece], whole: Solid, scale: SculptScale) -> list[Finding]:
    """Report the largest slab among the pieces used where it may be a ground block after all."""
    slabs = [
        (piece, slab)
        for piece in used
        if piece.solid is not None and (slab := as_slab(piece.solid)) is not None
    ]
    if not slabs:
        return []
    piece, slab = max(slabs, key=lambda each: float(each[0].size.max()))
    where = move_points(scale.matrix, piece.bounds.mean(axis=0))
    if len(used) == 1:
        return [new_finding("only_a_slab", where=where, name=piece.name)]
    cover = covered_share(slab, [whole])
    if not _LEAST_SLAB <= cover < LEAST_COVER:
        return []
    return [new_finding("slab_kept", 100 * cover, 100 * LEAST_COVER, where, name=piece.name)]
