"""Which part of a hold's surface is neither its back nor a bore."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.submesh import near_part

_BACK = 1e-3
"""mm above the finished back below which a vertex belongs to the back."""


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
    bores: Sequence[Hole] = ()
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


def _all_corners(chosen: Mask, triangles: Indices) -> Mask:
    """Tell which triangles have all corners among the chosen vertices."""
    a, b, c = (chosen[triangles[:, corner]] for corner in range(3))
    return np.asarray(a & b & c)
