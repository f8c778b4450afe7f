"""From the pieces of a raw sculpt to one solid."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from holdwright.geometry.mesh.boolean import components, connected, subtract, union
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.geometry.repair.ground_block import GroundFace, ground_blocks
from holdwright.geometry.repair.overlap_detection import lines_through
from holdwright.geometry.repair.pieces import SculptPiece, take_apart
from holdwright.geometry.repair.repair_account import Limits
from holdwright.geometry.repair.self_overlap_repair import within
from holdwright.progress import SILENT, Progress

LINES = 8_000
"""Lines along which a volume is counted: within half a percent as a rule; take more where it is not."""

_POINTS = 60
"""Points of a piece by which it is told to lie within another."""


@dataclass(frozen=True, eq=False)
class GroundPiece:
    """A piece recognised as a ground block, with its face toward the sculpt (file units)."""

    piece: SculptPiece
    face: GroundFace


@dataclass(frozen=True, eq=False)
class SculptSurvey:
    """What a sculpt is made of, before anything is left out."""

    pieces: tuple[SculptPiece, ...]
    """All connected pieces."""
    ground: tuple[GroundPiece, ...]
    """Those of them that are ground blocks."""

    @property
    def faulty(self) -> tuple[SculptPiece, ...]:
        """Pieces that are no solids."""
        return tuple(piece for piece in self.pieces if piece.solid is None)

    @property
    def turned(self) -> tuple[SculptPiece, ...]:
        """Pieces that came inside out."""
        return tuple(piece for piece in self.pieces if piece.turned)


@dataclass(frozen=True, eq=False)
class Fused:
    """The pieces fused."""

    bodies: tuple[Solid, ...]
    """The connected solids that came of it, largest first."""
    cavities: tuple[float, ...]
    """Volumes of the sealed cavities, file units cubed, largest first."""
    material: float
    """Volume of all there is without the cavities, whatever became of these."""
    hollows: frozenset[str] = frozenset()
    """Names of the pieces that are cavities of others."""
    hollow: bool = False
    """Whether cavities were kept; else they were filled."""

    @property
    def whole(self) -> Solid:
        """All bodies as one solid."""
        return union(self.bodies, "the fused sculpt")


def survey(
    sculpt: Sculpt,
    progress: Progress = SILENT,
    *,
    mending: bool = True,
    largest_hole: float = 1.0,
    voxel: float | None = None,
    open_back: bool = False,
) -> SculptSurvey:
    """Take a sculpt apart, mend its pieces and find the ground block among them.

    Parameters
    ----------
    sculpt
        As read.
    progress
        Told how far it has come.
    mending
        Whether to mend what is not closed, or overlaps itself.
    largest_hole
        Widest hole to close, as a share of its piece's extent.
    voxel
        Of surfaces made anew, in the sculpt's unit; None: a 120th of the piece's extent.
    open_back
        Whether a sheet with one open rim gets a flat back.
    """
    low, high = sculpt.bounds
    limits = Limits(float((high - low).max()), largest_hole, voxel, open_back) if mending else None
    pieces = take_apart(sculpt, progress.part(0.0, 0.8), limits)
    progress.report(0.8, "looking for a ground block")
    sound = [piece for piece in pieces if piece.solid is not None]
    faces = ground_blocks([piece.solid for piece in sound if piece.solid is not None])
    return SculptSurvey(pieces, tuple(GroundPiece(sound[face.index], face) for face in faces))


def fuse(pieces: Sequence[SculptPiece], cavities: Literal["fill", "keep"] = "fill") -> Fused:
    """Fuse pieces into one solid in a single union.

    Parameters
    ----------
    pieces
        At least one, each with its solid.
    cavities
        What to do with hollows that the union seals. A piece that came inside out within another one of its
        group is a hollow of that one.

    Raises
    ------
    GeometryError
        When the union is not a solid.
    """
    hosts = _hosts(pieces)
    fused = union(_hollowed(pieces, hosts), "the fused sculpt")
    surfaces = [Solid(kernel) for kernel in components(fused.kernel)]
    sealed = tuple(sorted((-surface.volume for surface in surfaces if surface.volume < 0), reverse=True))
    bodies = [surface for surface in surfaces if surface.volume > 0]
    bodies.sort(key=lambda body: -body.volume)
    if sealed and cavities == "keep":
        voids = [Solid(kernel_of(surface.mesh.flipped())) for surface in surfaces if surface.volume < 0]
        bodies = [subtract(body, voids, "the hollow sculpt") for body in bodies]
    elif sealed and len(bodies) > 1:
        # What lay loose within a cavity is part of what fills it.
        bodies = list(connected(union(bodies, "the sculpt with its cavities filled")))
    elif len(surfaces) == 1:
        bodies = [fused]
    names = frozenset(pieces[number].name for number in hosts)
    return Fused(tuple(bodies), sealed, fused.volume, names, hollow=cavities == "keep")


def counted_volume(pieces: Sequence[SculptPiece], lines: int = LINES) -> float:
    """Give the volume that pieces fill together, counted along lines and so apart from the kernel's union."""
    hosts = _hosts(pieces)
    surfaces = [
        piece.solid.mesh.flipped() if number in hosts else piece.solid.mesh
        for number, piece in enumerate(pieces)
        if piece.solid is not None
    ]
    return float(lines_through([Mesh.joined(surfaces)], lines).volume[0])


def _hollowed(pieces: Sequence[SculptPiece], hosts: Mapping[int, int]) -> list[Solid]:
    """Give the pieces' solids, hollows taken out of those they are in."""
    inner: dict[int, list[Solid]] = {}
    for number, host in hosts.items():
        hollow = pieces[number].solid
        if hollow is not None:
            inner.setdefault(host, []).append(hollow)
    return [
        subtract(piece.solid, inner.get(number, []), f'"{piece.name}" with its hollows')
        for number, piece in enumerate(pieces)
        if piece.solid is not None and number not in hosts
    ]


def _hosts(pieces: Sequence[SculptPiece]) -> dict[int, int]:
    """Find pieces that came inside out within another of their group, each with the smallest such."""
    found: dict[int, int] = {}
    groups = [piece.name.rpartition("/")[0] for piece in pieces]
    turned = [number for number, piece in enumerate(pieces) if piece.turned and groups[number]]
    for host, other in enumerate(pieces) if turned else ():
        if other.turned or other.solid is None:
            continue
        near = [
            number
            for number in turned
            if groups[number] == groups[host]
            and (other.bounds[0] <= pieces[number].bounds[0]).all()
            and (pieces[number].bounds[1] <= other.bounds[1]).all()
        ]
        for number in _lying_within(pieces, near, other.solid):
            rival = pieces[found[number]].solid if number in found else None
            if rival is None or rival.volume > other.solid.volume:
                found[number] = host
    return found


def _lying_within(pieces: Sequence[SculptPiece], asked: Sequence[int], host: Solid) -> list[int]:
    """Tell which pieces lie within a solid, by points spread over each."""
    points = [
        solid.vertices[:: max(1, len(solid.vertices) // _POINTS)]
        for solid in (pieces[number].solid for number in asked)
        if solid is not None
    ]
    if not points:
        return []
    inside = within(np.concatenate(points), host)
    starts = np.cumsum([0, *(len(each) for each in points[:-1])])
    return [
        number
        for number, all_in in zip(asked, np.logical_and.reduceat(inside, starts), strict=True)
        if all_in
    ]
