"""Evening out across needle triangles what is drawn on a smooth surface.

A chain of needles, as fusing and cutting leave them, parts a smooth surface in the drawing: points on either
side of it learn from the triangles on their own side alone, and light would show a step where there is none.
So points that are much closer together than points usually are share what they know.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, identity

from holdwright.geometry.mesh.connectivity import side_ends

Floats = NDArray[np.float32]
Indices = NDArray[np.int64]

NEAR: Final = 0.3
"""Points share half of what they know and more when closer than about this share of the usual edge."""


def smoothed_normals(
    points: Floats, triangles: Indices, areas: Floats, hollow: Floats
) -> tuple[Floats, Floats]:
    """Give sums and hollows as points that are near each other along the surface agree on them.

    Parameters
    ----------
    points
        (n, 3); those to either side of a sharp edge are apart, and share nothing.
    areas
        (n, 3) area vectors of the triangles round each point, summed.
    hollow
        (n,) values, which count by the area they stand for.
    """
    start, stop = side_ends(triangles)
    way = points.take(start, axis=0) - points.take(stop, axis=0)
    square = np.einsum("ij,ij->i", way, way)
    scale = NEAR**2 * float(np.median(square))
    near = np.flatnonzero(square < 4.0 * scale)
    if not len(near):
        return areas, hollow
    weight = np.exp(-square[near] / max(scale, 1e-30)).astype(np.float32)
    count = len(points)
    one_way = coo_matrix((weight, (start[near], stop[near])), shape=(count, count)).tocsr()
    sharing = identity(count, dtype=np.float32, format="csr") + one_way.maximum(one_way.T)
    size = np.sqrt(np.einsum("ij,ij->i", areas, areas)) + np.float32(1e-12)
    weighted = hollow * size
    # Twice, for points that are near each other by way of a third.
    for _ in range(2):
        areas, weighted, size = sharing @ areas, sharing @ weighted, sharing @ size
    return areas, np.asarray(weighted / size, dtype=np.float32)
