"""Which part of a hold's surface is neither its back nor a bore."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.mesh import Mesh

_BACK = 1e-3
"""mm above the finished back below which a vertex belongs to the back."""


class Pocket(Protocol):
    """What is cut into the back."""

    def on_surface(self, points: Floats) -> Mask:
        """Give which points (n, 3) lie in it or on its surface."""
        ...


@dataclass(frozen=True, eq=False)
class HoldSurface:
    """The surface of a hold on its finished back at z = 0."""

    mesh: Mesh
    """mm, wound outward."""
    bores: Sequence[Hole] = ()
    """Where it is bored."""
    rim_height: float = 0.0
    """Height of its straight rim, mm."""
    pockets: Sequence[Pocket] = ()
    """What relieves its back."""

    def near(self, low: Floats, high: Floats) -> "HoldSurface":
        """Leave out triangles wholly to one side of the box with the (3,) corners `low` and `high`."""
        return replace(self, mesh=self.mesh.near(low, high))

    def grip(self) -> tuple[Mesh, Mesh]:
        """Leave out the back (below the finished back too) and the bores.

        Returns
        -------
        tuple
            The triangles that reach down into the rim, and all others; vertices as they were.
        """
        vertices, triangles = self.mesh.vertices, self.mesh.triangles
        dropped = _all_corners(vertices[:, 2] < _BACK, triangles)
        for cut in (*self.bores, *self.pockets):
            dropped |= _all_corners(cut.on_surface(vertices), triangles)
        preserved = triangles[~dropped]
        above = _all_corners(vertices[:, 2] > self.rim_height + _BACK, preserved)
        return Mesh(vertices, preserved[~above]), Mesh(vertices, preserved[above])


def _all_corners(chosen: Mask, triangles: Indices) -> Mask:
    """Tell which triangles have all corners among the chosen vertices."""
    a, b, c = (chosen[triangles[:, corner]] for corner in range(3))
    return np.asarray(a & b & c)
