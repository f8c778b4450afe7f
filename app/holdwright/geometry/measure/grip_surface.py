"""Which part of a hold's surface is neither its back nor a bore."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.submesh import near_part

_BACK = 1e-3
"""mm above the finished back below which a vertex belongs to the back; as much for the seat."""


@dataclass(frozen=True)
class Column:
    """Where a core stands.

    Attributes
    ----------
    foot
        Where its axis meets the finished back, mm.
    axis
        Unit vector from the back outward.
    seat
        Height of the bolt's seat along the axis, mm.
    pocket_radius
        Radius of the pocket above the seat, mm; 0 for none.
    hole_radius
        Radius of the hole below the seat, mm; 0 for none.
    slot
        How much longer than wide hole and pocket are, mm.
    slot_along
        Unit vector square to the axis along which they are longer.
    """

    foot: tuple[float, float, float]
    axis: tuple[float, float, float]
    seat: float
    pocket_radius: float = 0.0
    hole_radius: float = 0.0
    slot: float = 0.0
    slot_along: tuple[float, float, float] = (1.0, 0.0, 0.0)

    @property
    def pocket_reach(self) -> float:
        """How far the pocket goes from the axis, mm."""
        return self.pocket_radius + self.slot / 2.0

    def seen_from(self, points: Floats) -> tuple[Floats, Floats]:
        """Give how far points (n, 3) are from the axis, or from the middle line of the slot, and how high."""
        relative = points - np.array(self.foot)
        height = relative @ np.array(self.axis)
        square = np.einsum("ij,ij->i", relative, relative) - height * height
        if self.slot > 0.0:
            along = np.abs(relative @ np.array(self.slot_along))
            square += np.maximum(along - self.slot / 2.0, 0.0) ** 2 - along * along
        return np.sqrt(np.maximum(square, 0.0)), height

    def on_wall(self, points: Floats, within: float = 0.01) -> NDArray[np.bool_]:
        """Tell which points (n, 3) lie in it or on its wall; its polygon is 0.02 % wider than the circle.

        Parameters
        ----------
        within
            What counts as on the wall, mm.
        """
        away, height = self.seen_from(points)
        hole, pocket = (radius * 1.0005 + within for radius in (self.hole_radius, self.pocket_radius))
        return np.asarray((away <= hole) | ((away <= pocket) & (height >= self.seat - _BACK)))


@dataclass(frozen=True, eq=False)
class HoldSurface:
    """The surface of a hold on its finished back at z = 0.

    Attributes
    ----------
    vertices
        (n, 3) float64, mm.
    triangles
        (m, 3) indices into `vertices`.
    bores
        Where it is bored.
    rim_height
        Height of its straight rim, mm.
    """

    vertices: Floats
    triangles: Indices
    bores: Sequence[Column] = ()
    rim_height: float = 0.0

    def near(self, low: Floats, high: Floats) -> "HoldSurface":
        """Leave out triangles wholly to one side of the box with the (3,) corners `low` and `high`."""
        return HoldSurface(*near_part(self.vertices, self.triangles, low, high), self.bores, self.rim_height)

    def grip(self) -> tuple[Indices, Indices]:
        """Leave out the back (below the finished back too) and the bores.

        Returns
        -------
        tuple
            (k, 3) triangles that reach down into the rim, and all others.
        """
        dropped = _all_corners(self.vertices[:, 2] < _BACK, self.triangles)
        for bore in self.bores:
            dropped |= _all_corners(bore.on_wall(self.vertices), self.triangles)
        kept = self.triangles[~dropped]
        high = self.vertices[:, 2] > self.rim_height + _BACK
        above = _all_corners(high, kept)
        return kept[~above], kept[above]


def _all_corners(chosen: NDArray[np.bool_], triangles: Indices) -> NDArray[np.bool_]:
    """Tell which triangles have all corners among the chosen vertices."""
    a, b, c = (chosen[triangles[:, corner]] for corner in range(3))
    return np.asarray(a & b & c)
