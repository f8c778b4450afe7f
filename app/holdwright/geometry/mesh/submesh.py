"""The part of a mesh that is near some place, as a mesh of its own."""

import numpy as np

from holdwright.geometry.arrays import Floats, Indices


def near_part(vertices: Floats, triangles: Indices, low: Floats, high: Floats) -> tuple[Floats, Indices]:
    """Leave out triangles wholly to one side of a box.

    Parameters
    ----------
    vertices, triangles
        (n, 3) mm and (m, 3).
    low, high
        (3,) corners of the box, or (2,) for one without end along z, mm.

    Returns
    -------
    tuple
        (k, 3) vertices and the triangles left, in their numbers.
    """
    side = np.zeros(len(vertices), dtype=np.uint8)
    for axis, (least, most) in enumerate(zip(low, high, strict=True)):
        side |= (vertices[:, axis] < least).view(np.uint8) << 2 * axis
        side |= (vertices[:, axis] > most).view(np.uint8) << 2 * axis + 1
    a, b, c = (side[triangles[:, corner]] for corner in range(3))
    return compact(vertices, triangles[(a & b & c) == 0])


def compact(vertices: Floats, triangles: Indices) -> tuple[Floats, Indices]:
    """Leave out vertices that no triangle uses: (k, 3) mm and the same triangles in their numbers."""
    used = np.zeros(len(vertices), dtype=np.bool_)
    used[triangles] = True
    return vertices[used], (np.cumsum(used) - 1)[triangles]
