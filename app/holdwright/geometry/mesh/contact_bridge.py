"""Edges along which a solid touches itself, found as a file will hold it, and the bars that close them.

Such an edge is used by four or more triangles once equal vertices are one: slicers may take it for a fault,
and what hangs on it hangs on nothing.
"""

from collections.abc import Sequence

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import cut_by_plane, union
from holdwright.geometry.mesh.closedness import merge_equal
from holdwright.geometry.mesh.connectivity import any_corner, edge_uses
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.frustum import turn_to
from holdwright.geometry.mesh.single_precision import rounded
from holdwright.geometry.mesh.solid import Solid

BAR = 0.05
"""Radius of a bar, mm: far above what a file rounds, far below what a print shows."""

_PAD = 0.2
"""mm that boxes are widened by: polygons of a circle's area reach 0.02 % beyond it."""


def contact_edges(solid: Solid, boxes: Sequence[Floats]) -> Floats:
    """Find the edges within boxes along which a solid touches itself.

    Parameters
    ----------
    boxes
        (2, 3) least and greatest corner of each, mm.

    Returns
    -------
    Floats
        (k, 2, 3) ends of the edges, mm, in single precision.
    """
    near = np.zeros(len(solid.vertices), dtype=bool)
    for low, high in boxes:
        near |= ((solid.vertices >= low - _PAD) & (solid.vertices <= high + _PAD)).all(axis=1)
    if len(merge_equal(solid.vertices[near].astype(np.float32))[0]) == np.count_nonzero(near):
        return np.zeros((0, 2, 3))
    points, faces = rounded(solid.vertices, solid.triangles[any_corner(near, solid.triangles)])
    edge, uses, _ = edge_uses(faces, len(points))
    ends = np.stack(np.divmod(edge[uses > 2], len(points)), axis=1)
    return np.asarray(points[ends], dtype=np.float64)


def bars_along(edges: Floats, floor: float) -> Solid:
    """Lay a bar round each of (k, 2, 3) edges, k at least 1, a little beyond its ends, not below `floor`."""
    bars = []
    for start, end in edges:
        length = float(np.linalg.norm(end - start))
        axis = (end - start) / length
        bar = Manifold.cylinder(length + 2.0 * BAR, BAR, BAR, 8).translate((0.0, 0.0, -BAR))
        bars.append(Solid.checked(bar.transform(placement(turn_to(axis), start)[:3]), "a bar"))
    return cut_by_plane(union(bars, "the bars"), np.array([0.0, 0.0, 1.0]), floor, "the bars")
