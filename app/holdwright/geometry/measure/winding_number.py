"""How often a surface, open or not, winds round the points of a lattice.

The winding number of a surface round a point is the mean, over all directions, of the signed crossings of the
ray that way: one inside a closed surface, nought outside, and between them where there are gaps (A. Jacobson
et al., Robust inside-outside segmentation using generalized winding numbers, ACM ToG 32, 2013). Here the mean
is over the 26 directions to a point's neighbours on the lattice: leaning lines are upright ones of a surface
leant the other way.
"""

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.crossings import crossings_of
from holdwright.geometry.measure.occupancy import Lattice
from holdwright.geometry.mesh.mesh import Mesh

Numbers = NDArray[np.float32]

_UPRIGHT = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
_LINES = [(2, *lean) for lean in _UPRIGHT] + [(0, lean, 0) for lean in (-1, 0, 1)] + [(1, 0, 0)]
"""The 13 lines through neighbours: the axis they run along, and how far they lean along the two next."""


def winding(lattice: Lattice, surface: Mesh) -> Numbers:
    """Give the (nx, ny, nz) winding numbers of a surface round the points of a lattice.

    Parameters
    ----------
    lattice
        Of points; the surface may reach beyond it.
    surface
        mm, wound outward, gaps and all.
    """
    total = np.zeros(lattice.shape, dtype=np.float32)
    points = lattice.indices(surface.vertices)
    for axis, first, second in _LINES:
        turn = [(axis + 1) % 3, (axis + 2) % 3, axis]
        turned = total.transpose(turn)  # a view: what is added there is added to the total
        _add_line(turned, points[:, turn], surface.triangles, (first, second))
    return total / np.float32(len(_LINES))


def _add_line(total: Numbers, points: Floats, triangles: Indices, lean: tuple[int, int]) -> None:
    """Add the mean of the two rays along a line that leans by whole steps for each step upward."""
    nx, ny, nz = total.shape
    spare = [abs(step) * (nz - 1) for step in lean]
    start = [spare[side] if lean[side] > 0 else 0 for side in (0, 1)]
    leant = np.array(points)
    for side in (0, 1):
        leant[:, side] += start[side] - lean[side] * points[:, 2]
    shape = (nx + spare[0], ny + spare[1])
    met = crossings_of(leant, triangles, shape)
    changes = np.zeros((shape[0] * shape[1], nz + 1), dtype=np.int16)
    level = np.clip(np.ceil(met.height), 0, nz).astype(np.int64)
    np.add.at(changes.reshape(-1), met.column * (nz + 1) + level, met.step.astype(np.int16))
    below = np.cumsum(changes, axis=1, dtype=np.int16).reshape(*shape, nz + 1)
    half = below[:, :, nz] * np.float32(0.5)
    for z in range(nz):
        x, y = start[0] - lean[0] * z, start[1] - lean[1] * z
        here = (slice(x, x + nx), slice(y, y + ny))
        total[:, :, z] += below[here][:, :, z] - half[here]
