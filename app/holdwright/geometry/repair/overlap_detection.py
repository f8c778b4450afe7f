"""Whether closed pieces overlap themselves.

On an upright line through a piece the surface goes in and out by turns; where it goes in twice before it
comes out, the piece overlaps itself, and the kernel counts that stretch twice. A few thousand lines tell how
much.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.occupancy import Lattice, crossings
from holdwright.geometry.mesh.mesh import Mesh

LEAST = 2e-4
"""Share of its volume that a piece may overlap itself by before anything is done about it."""

LINES = 60_000
"""Lines sent, over all surfaces."""


@dataclass(frozen=True, eq=False)
class Lines:
    """What upright lines met in each of several closed surfaces."""

    volume: Floats
    """(n,) enclosed at all, in units cubed: a fold turned inside out is part of what one sees."""
    doubled: Floats
    """(n,) by how much the kernel's volume is wrong: enclosed more than once, or the wrong way round."""

    @property
    def share(self) -> Floats:
        """(n,) doubled as a share of the volume."""
        return np.asarray(self.doubled / np.where(self.volume > 0, self.volume, 1.0))


def lines_through(surfaces: Sequence[Mesh], lines: int = LINES) -> Lines:
    """Send upright lines through closed, outward surfaces, each by itself, all in one go.

    The surfaces are laid out side by side, each stretched over a square of the same number of lines.

    Parameters
    ----------
    surfaces
        At least one.
    lines
        How many in all; a surface has 16 x 16 at least and 1000 x 1000 at most.
    """
    side = int(np.clip(np.sqrt(lines / len(surfaces)), 16, 1000))
    boxes = np.array([surface.bounds for surface in surfaces])
    size = np.ptp(boxes, axis=1)
    pitch = np.where(size[:, :2] > 0, size[:, :2], 1.0) / side
    laid = []
    for each, surface in enumerate(surfaces):
        points, triangles = surface.vertices, surface.triangles
        x, y = ((points[:, :2] - boxes[each, 0, :2]) / pitch[each] + 0.4871).T
        chosen = triangles[_between_lines(x, triangles) & _between_lines(y, triangles)]
        moved = np.column_stack([x + each * (side + 2), y, points[:, 2] - boxes[each, 0, 2]])
        laid.append(Mesh(moved, chosen))
    lattice = Lattice(np.zeros(3), 1.0, (len(surfaces) * (side + 2), side + 2, 1))
    met = crossings(lattice, Mesh.joined(laid))
    # One key sorts by line, then by height: many times faster than two, and equal heights are no matter.
    order = np.argsort(met.column + met.height * (0.5 / max(float(size[:, 2].max()), 1e-300)))
    column, height = met.column[order], met.height[order]
    depth = np.cumsum(met.step[order].astype(np.int64))[:-1]
    length = np.where(np.diff(column) == 0, np.diff(height), 0.0)
    owner = column[:-1] // ((side + 2) * (side + 2))
    cell = np.prod(pitch, axis=1)
    volume = np.bincount(owner, weights=np.where(depth != 0, length, 0.0), minlength=len(surfaces))
    excess = np.abs(depth - (depth != 0)) * length
    doubled = np.bincount(owner, weights=excess, minlength=len(surfaces))
    return Lines(volume * cell, doubled * cell)


def _between_lines(along: Floats, triangles: Indices) -> NDArray[np.bool_]:
    """Tell which triangles may have a line between their corners, which of a fine mesh are few."""
    place = np.ceil(along).astype(np.int32)
    a, b, c = place[triangles[:, 0]], place[triangles[:, 1]], place[triangles[:, 2]]
    return np.asarray((a != b) | (b != c))
