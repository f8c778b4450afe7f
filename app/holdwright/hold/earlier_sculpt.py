"""What is remembered of the sculpt a recipe was made with, so that a revised one can be laid on it."""

import base64
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from holdwright.errors import RecipeError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.registration import Registration, register
from holdwright.geometry.measure.shape_points import ShapePoints, shape_points
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.repair.ground_block import may_be_ground
from holdwright.hold.finding import Point, point

POINTS: Final = 1200
"""Points remembered: 15 kB of a recipe's file."""

_STEPS: Final = 65535
_FARTHEST: Final = 1e30
"""Coordinates beyond it are no sculpt's; their squares would leave the range of numbers."""

_ROW: Final = np.dtype([("place", "<u2", 3), ("normal", "i1", 3)])


@dataclass(frozen=True)
class EarlierSculpt:
    """A sculpt in the frame its recipe's places are meant in; made by `remembered`, or read from a file."""

    digest: str
    """Of the file it was read from, where it still lay in that frame; blank where it was brought back."""
    origin: Point
    """Of that frame, as `Sculpt.origin`."""
    low: Point
    high: Point
    """low, high: corners of the box round its points, from the origin, file units."""
    points: str
    """Its points with their normals, base64: three 16-bit shares of the box, little-endian, and three signed
    bytes."""
    scale: float | None = None
    """What the import multiplied its lengths by; None where that is not known."""

    @cached_property
    def shape(self) -> ShapePoints:
        """Its points.

        Raises
        ------
        RecipeError
            When the text holds none.
        """
        try:
            rows = np.frombuffer(base64.b64decode(self.points, validate=True), _ROW)
        except ValueError:
            rows = np.empty(0, _ROW)
        low, high = np.array(self.low), np.array(self.high)
        far = max(np.abs(low).max(), np.abs(high).max())
        if not len(rows) or not (high >= low).all() or far > _FARTHEST:
            raise RecipeError(
                "What the recipe remembers of its sculpt cannot be read; take the entry made_with out of its "
                "file."
            )
        normals = rows["normal"] / 127.0
        length = np.linalg.norm(normals, axis=1, keepdims=True)
        places = low + rows["place"] / _STEPS * (high - low)
        return ShapePoints(places, normals / np.where(length > 0.0, length, 1.0))

    def lies(self, sculpt: Sculpt) -> tuple[Registration, Floats]:
        """Find how another sculpt lies to it.

        Returns
        -------
        The registration, and the (4, 4) similarity from the other sculpt's own coordinates to this one's.
        """
        apart = placement(shift=sculpt.origin - np.array(self.origin))
        found = register(self.shape, _surface(sculpt).moved(apart))
        return found, found.placement @ apart


def remembered(sculpt: Sculpt, origin: Floats, back: Floats, scale: float | None) -> EarlierSculpt:
    """Remember a sculpt.

    Parameters
    ----------
    sculpt
        As it was read.
    origin, back
        Of the frame the recipe's places are meant in, and the (4, 4) similarity from the sculpt's own to it.
    scale
        As of `EarlierSculpt`.
    """
    taken = shape_points(_surface(sculpt).moved(back), POINTS)
    low, high = taken.points.min(axis=0), taken.points.max(axis=0)
    rows = np.empty(len(taken.points), _ROW)
    extent = np.where(high > low, high - low, 1.0)
    rows["place"] = np.rint((taken.points - low) / extent * _STEPS)
    rows["normal"] = np.rint(taken.normals * 127.0)
    text = base64.b64encode(rows.tobytes()).decode("ascii")
    at_rest = (back == np.eye(4)).all() and (origin == sculpt.origin).all()
    digest = sculpt.digest if at_rest else ""
    return EarlierSculpt(digest, point(origin), point(low), point(high), text, scale)


def _surface(sculpt: Sculpt) -> Mesh:
    """Give a sculpt's surface without what may be a ground block: one export has it, the next has not."""
    meshes = [piece.mesh for piece in sculpt.pieces]
    several = len(meshes) > 1
    return Mesh.joined([mesh for mesh in meshes if not (several and may_be_ground(mesh))] or meshes)
