"""What a sculpt's file holds once read: named surfaces, not yet solid, in the file's own units."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh


@dataclass(frozen=True, eq=False)
class Piece:
    """One named surface of a sculpt."""

    name: str
    """The group's name in the file; made unique by the reader. A file without groups gives one piece."""
    vertices: Floats
    """(n, 3) float64, in file units, relative to the sculpt's `origin`. Read-only. Every vertex is used."""
    triangles: Indices
    """(m, 3) int64 indices into `vertices`, as the file winds them. Read-only. m is at least 1."""
    copy_of: tuple[str, Floats] | None = None
    """Name of the first piece that the file makes of the same mesh, and the (4, 4) rigid motion that takes
    that one here; None for any other."""

    def __post_init__(self) -> None:
        self.vertices.flags.writeable = False
        self.triangles.flags.writeable = False

    @cached_property
    def mesh(self) -> Mesh:
        """The surface without its name."""
        return Mesh(self.vertices, self.triangles)


@dataclass(frozen=True, eq=False)
class Sculpt:
    """All that was read from one file."""

    pieces: tuple[Piece, ...]
    """At least one, in file order."""
    origin: Floats
    """(3,) float64, file units: what was taken off every coordinate, in double precision, so that sculpts far
    from the origin lose nothing. Zero where the file's coordinates are already near it."""
    digest: str
    """Hexadecimal digest of the file's bytes (blake2b, 16 bytes)."""
    unit: str | None = None
    """The unit the file itself declares, or None."""
    notes: tuple[str, ...] = field(default=())
    """Sentences on what the reader had to drop or decide, for the user."""
    format: str = ""
    """"OBJ", "STL", "PLY", "3MF", "GLB" or "glTF"."""

    @property
    def triangle_count(self) -> int:
        """Number of triangles in all pieces."""
        return sum(len(piece.triangles) for piece in self.pieces)

    @property
    def bounds(self) -> Floats:
        """(2, 3) least and greatest corner, in file units, relative to `origin`."""
        boxes = np.array([piece.mesh.bounds for piece in self.pieces])
        return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])
