"""A coarse copy of a solid, for drawing while the view moves."""

import numpy as np

from holdwright.geometry.mesh.boolean import simplified
from holdwright.geometry.mesh.solid import Solid

FIRST_TOLERANCE = 0.0005
"""Share of the solid's extent at which coarsening starts."""

COARSEST_TOLERANCE = 0.02


def stand_in(solid: Solid, triangles: int) -> Solid:
    """Coarsen a solid until it has no more than about `triangles` triangles.

    Stops at a tolerance of 2 % of its extent, where the shape would be lost.
    """
    extent = float(np.max(solid.size))
    tolerance = FIRST_TOLERANCE
    coarse = solid
    while coarse.triangle_count > triangles and tolerance <= COARSEST_TOLERANCE:
        coarse = simplified(coarse, tolerance * extent)
        tolerance *= 2
    return coarse
