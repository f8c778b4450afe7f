"""From the pieces of a raw sculpt to one solid."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from holdwright.geometry.boolean import overlap_volume, subtract, union
from holdwright.geometry.ground import Ground, ground_blocks
from holdwright.geometry.mending_account import Limits
from holdwright.geometry.overlap import lines_through
from holdwright.geometry.pieces import SculptPiece, take_apart
from holdwright.geometry.sculpt import Sculpt
from holdwright.geometry.solid import Solid, kernel_of
from holdwright.progress import SILENT, Progress

LINES = 8_000
"""Lines along which a volume is counted: within half a percent as a rule; take more where it is not."""


@dataclass(frozen=True, eq=False)
class GroundPiece:
    """A piece recognised as a ground block, with its face toward the sculpt (file units)."""

    piece: SculptPiece
    face: Ground


@dataclass(frozen=True, eq=False)
class Survey:
    """What a sculpt is made of, before anything is left out.

    Attributes
    ----------
    pieces
        All connected pieces.
    ground
        Those of them that are ground blocks.
    """

    pieces: tuple[SculptPiece, ...]
    ground: tuple[GroundPiece, ...]

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
    """The pieces fused.

    Attributes
    ----------
    bodies
        The connected solids that came of it, largest first.
    cavities
        Volumes of the sealed cavities, file units cubed, largest first.
    hollow
        Whether they were kept; else they were filled.
    """

    bodies: tuple[Solid, ...]
    cavities: tuple[float, ...]
    hollow: bool = False

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
) -> Survey:
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
    """
    low, high = sculpt.bounds
    limits = Limits(float((high - low).max()), largest_hole, voxel) if mending else None
    pieces = take_apart(sculpt, progress.part(0.0, 0.8), limits)
    progress.report(0.8, "looking for a ground block")
    sound = [piece for piece in pieces if piece.solid is not None]
    faces = ground_blocks([piece.solid for piece in sound if piece.solid is not None])
    return Survey(pieces, tuple(GroundPiece(sound[face.index], face) for face in faces))


def fuse(pieces: Sequence[SculptPiece], cavities: Literal["fill", "keep"] = "fill") -> Fused:
    """Fuse pieces into one solid in a single union.

    Parameters
    ----------
    pieces
        At least one, each with its solid.
    cavities
        What to do with hollows that the union seals, and with pieces that came inside out within another one
        of their group.

    Raises
    ------
    GeometryError
        When the union is not a solid.
    """
    hollows = _hollows(pieces)
    filled = [piece.solid for piece in pieces if piece.solid is not None and piece not in hollows]
    fused = union(filled, "the fused sculpt")
    inner = [piece.solid for piece in hollows if piece.solid is not None]
    if cavities == "keep" and inner:
        fused = subtract(fused, inner, "the fused sculpt without its cavities")
    surfaces = [Solid(kernel) for kernel in fused.kernel.decompose()]
    volumes = np.array([surface.volume for surface in surfaces])
    sealed = [-float(volume) for volume in volumes if volume < 0]
    if cavities == "fill":
        sealed += [solid.volume for solid in inner]
    bodies = [surfaces[index] for index in np.argsort(-volumes, kind="stable") if volumes[index] > 0]
    if sealed and cavities == "keep":
        voids = [_outward(surface) for surface in surfaces if surface.volume < 0]
        bodies = [subtract(body, voids, "the hollow sculpt") for body in bodies]
    elif len(surfaces) == 1:
        bodies = [fused]
    return Fused(tuple(bodies), tuple(sorted(sealed, reverse=True)), hollow=cavities == "keep")


def counted_volume(pieces: Sequence[SculptPiece], lines: int = LINES) -> float:
    """Give the volume that pieces fill together, counted along lines and so apart from the kernel's union."""
    hollows = _hollows(pieces)
    solids = [piece.solid for piece in pieces if piece.solid is not None and piece not in hollows]
    shifts = np.cumsum([0, *(len(solid.vertices) for solid in solids[:-1])])
    vertices = np.concatenate([solid.vertices for solid in solids])
    triangles = np.concatenate([solid.triangles + shift for solid, shift in zip(solids, shifts, strict=True)])
    return float(lines_through([(vertices, triangles)], lines).volume[0])


def _hollows(pieces: Sequence[SculptPiece]) -> list[SculptPiece]:
    """Find pieces that came inside out and lie wholly within another piece of their group: cavities."""
    found = []
    for piece in pieces:
        if not piece.turned or piece.solid is None:
            continue
        group = piece.name.rpartition("/")[0]
        for other in pieces:
            if other is piece or other.turned or other.solid is None or not group:
                continue
            near = (other.bounds[0] <= piece.bounds[0]).all() and (piece.bounds[1] <= other.bounds[1]).all()
            if near and other.name.rpartition("/")[0] == group:
                shared = overlap_volume(piece.solid, other.solid)
                if shared >= (1.0 - 1e-6) * piece.solid.volume:
                    found.append(piece)
                    break
    return found


def _outward(surface: Solid) -> Solid:
    return Solid(kernel_of(surface.vertices, surface.triangles[:, ::-1]))
