"""What of a solid projects beyond a plane, and the section that it hangs on."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import Outlines
from holdwright.geometry.mesh.solid import Solid, mesh_of

_BESIDE = 1e-3
"""mm beyond the plane at which the section is taken: on it, the cut's own face is in the way."""


@dataclass(frozen=True, eq=False)
class ProjectingPiece:
    """A piece of a solid beyond a plane."""

    outlines: Outlines
    """Of its section, (n, 2) in mm along `axes` from the origin; holes run clockwise."""
    axes: Floats
    """(3, 3) rows: two in the plane and its normal, right-handed."""
    height: float
    """Of the plane along its normal, mm."""
    low: Floats
    high: Floats
    """low, high: (3,) corners of the box round the piece."""

    def at(self, place: Floats) -> Floats:
        """Give the point (3,) that lies at (2,) in the plane."""
        return np.asarray(place @ self.axes[:2] + self.height * self.axes[2])


def projecting_piece(solid: Solid, point: Floats, axes: Floats, height: float) -> ProjectingPiece | None:
    """Cut a solid and take the piece beyond that a point of its surface belongs to; None where there is none.

    Parameters
    ----------
    point
        (3,) on the surface, beyond the plane, mm.
    axes
        (3, 3) rows: two in the plane and its normal, right-handed.
    height
        Of the plane along its normal, mm.
    """
    beyond = solid.kernel.trim_by_plane(tuple(axes[2].tolist()), height)
    nearest, least = None, np.inf
    for piece in beyond.decompose():
        apart = mesh_of(piece).vertices - point
        distance = float(np.einsum("ij,ij->i", apart, apart).min())
        if distance < least:
            nearest, least = piece, distance
    if nearest is None:
        return None
    turned = nearest.transform(np.column_stack([axes, np.zeros(3)]))
    outlines = [np.asarray(each, dtype=np.float64) for each in turned.slice(height + _BESIDE).to_polygons()]
    box = np.array(nearest.bounding_box(), dtype=np.float64).reshape(2, 3)
    return ProjectingPiece(outlines, axes, height, box[0], box[1]) if outlines else None
