"""The 45 degree chamfer of the edge where a straight rim meets the finished back."""

import numpy as np
from manifold3d import JoinType, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import reassembled, subtract
from holdwright.geometry.mesh.solid import Solid

_SIMPLER = 0.002
_OVER = 0.01
_PAST = 0.001
_SHAVING = 1e-6
_SHARPEST = np.radians(60.0)
"""Half the turn beyond which an inner corner's two chamfers no longer reach to where they would meet."""


def chamfer_back(solid: Solid, leg: float) -> Solid:
    """Cut the edge round the back, its islands and its holes, at 45 degrees.

    Parameters
    ----------
    solid
        Its back on z = 0, upright walls at least `leg` high above it.
    leg
        mm, along the back and up the rim.

    Raises
    ------
    GeometryError
        When nothing would be left of the back, or of one of its islands.

    Notes
    -----
    The removed set is the union of one wedge for each edge of the outline, drawn on past inner corners to
    where the neighbours' planes meet; at outer corners the union of the two wedges is the mitre already. The
    outline is followed to 0.002 mm.
    """
    section = solid.kernel.slice(leg / 2).simplify(_SIMPLER)
    outlines = [np.asarray(outline, dtype=np.float64) for outline in section.to_polygons()]
    for part in section.decompose():
        if part.offset(-leg, JoinType.Miter).is_empty():
            raise GeometryError(
                f"A back chamfer of {leg:g} mm was asked for, but it leaves nothing of an outline of "
                f"{part.area():.3g} mm2 in the back; make the chamfer smaller or cut the back higher."
            )
    wedges = [Solid(wedge) for outline in outlines for wedge in _wedges(outline, leg)]
    return _without_shavings(subtract(solid, wedges, "the hold with its back edge chamfered"))


def _without_shavings(solid: Solid) -> Solid:
    """Leave out slivers and slits of no volume, where two wedges meet nearly flush.

    Nothing else can come loose: each level of a chamfered rim is within the one above it.
    """
    pieces = solid.kernel.decompose()
    bodies = [piece for piece in pieces if abs(piece.volume()) > _SHAVING]
    if len(bodies) == len(pieces):
        return solid
    return Solid.checked(reassembled(bodies), "the chamfered hold")


def _wedges(outline: Floats, leg: float) -> list[Manifold]:
    """One wedge for each edge of a closed outline (n, 2), material to its left."""
    outline = outline[np.any(outline != np.roll(outline, 1, axis=0), axis=1)]
    ahead = np.roll(outline, -1, axis=0)
    along = (ahead - outline) / np.linalg.norm(ahead - outline, axis=1)[:, None]
    inward_first, inward_last = _inward(along)
    past = _PAST * along
    corners = []
    for inward, z in ((-_OVER, leg + _OVER), (-_OVER, -_OVER), (leg + _OVER, -_OVER)):
        first = outline + inward * inward_first[0] - past * inward_first[1]
        last = ahead + inward * inward_last[0] + past * inward_last[1]
        corners += [np.column_stack([place, np.full(len(place), z)]) for place in (first, last)]
    return [Manifold.hull_points(points) for points in np.stack(corners, axis=1)]


def _inward(along: Floats) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Say how the two ends of each edge move for each mm inward.

    Returns
    -------
    first, last
        For either end (n, 2) the move, and (n, 1) 1 where to overlap the neighbour a little: at outer
        corners, inside the neighbour's wedge. At inner corners both wedges end on the same points.
    """
    before = np.roll(along, 1, axis=0)
    left, left_before = _left(along), _left(before)
    cosine = np.einsum("ij,ij->i", before, along)[:, None]
    outer = (before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0])[:, None] >= 0.0
    overlap = outer.astype(np.float64)
    sharp = cosine < np.cos(2 * _SHARPEST)
    mitre = (left + left_before) / np.where(sharp, 1.0, 1.0 + cosine)
    reach = np.tan(_SHARPEST)
    first = np.where(outer, left, np.where(sharp, left - reach * along, mitre))
    last = np.where(outer, left_before, np.where(sharp, left_before + reach * before, mitre))
    return (first, overlap), (np.roll(last, -1, axis=0), np.roll(overlap, -1, axis=0))


def _left(along: Floats) -> Floats:
    return np.stack([-along[:, 1], along[:, 0]], axis=1)
