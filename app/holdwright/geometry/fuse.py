"""From the pieces of a raw sculpt to one solid."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.boolean import union
from holdwright.geometry.ground import Ground, ground_blocks
from holdwright.geometry.pieces import SculptPiece, take_apart
from holdwright.geometry.sculpt import Sculpt
from holdwright.geometry.solid import Solid
from holdwright.progress import SILENT, Progress


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
        The connected solids that came of it, largest first, cavities filled.
    cavities
        Volumes of the sealed cavities that were filled, file units cubed, largest first.
    """

    bodies: tuple[Solid, ...]
    cavities: tuple[float, ...]

    @property
    def whole(self) -> Solid:
        """All bodies as one solid."""
        return union(self.bodies, "the fused sculpt")


def survey(sculpt: Sculpt, progress: Progress = SILENT) -> Survey:
    """Take a sculpt apart and find the ground block in it."""
    pieces = take_apart(sculpt, progress.part(0.0, 0.8))
    progress.report(0.8, "looking for a ground block")
    sound = [piece for piece in pieces if piece.solid is not None]
    faces = ground_blocks([piece.solid for piece in sound if piece.solid is not None])
    return Survey(pieces, tuple(GroundPiece(sound[face.index], face) for face in faces))


def fuse(pieces: Sequence[SculptPiece]) -> Fused:
    """Fuse pieces into one solid in a single union and fill the cavities that it seals.

    Parameters
    ----------
    pieces
        At least one, each with its solid.

    Raises
    ------
    GeometryError
        When the union is not a solid.
    """
    fused = union([piece.solid for piece in pieces if piece.solid is not None], "the fused sculpt")
    surfaces = [Solid(kernel) for kernel in fused.kernel.decompose()]
    volumes = np.array([surface.volume for surface in surfaces])
    cavities = tuple(sorted((-float(volume) for volume in volumes if volume < 0), reverse=True))
    if len(surfaces) == 1:
        return Fused((fused,), ())
    bodies = [surfaces[index] for index in np.argsort(-volumes, kind="stable") if volumes[index] > 0]
    return Fused(tuple(bodies), cavities)
