"""Polygon faces as read made into triangles, what is no face left out."""

import numpy as np

from holdwright.errors import GeometryError
from holdwright.files.read_error import Unreadable, counted
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.polygon import triangulate


def triangles_of(
    vertices: Floats, corners: Indices, sizes: Indices, notes: list[str]
) -> tuple[Indices, Indices | None]:
    """Cut faces into triangles with three different corners each.

    A corner that repeats the one before it is dropped, and a face left with fewer than three corners as well.

    Parameters
    ----------
    vertices
        (v, 3) float64; those used must be finite.
    corners
        (k,) valid indices, face after face.
    sizes
        (n,) corners in each face, possibly none.
    notes
        Gains a sentence on what was dropped.

    Returns
    -------
    Triangles (m, 3), and (m,) the face each came from, None where every face gave one triangle.

    Raises
    ------
    Unreadable
        When large faces cannot be cut in reasonable time.
    """
    faces = None
    repeats = _repeats(corners, sizes)
    if repeats.any() or (sizes < 3).any():
        corners, sizes, faces = _without(repeats, corners, sizes, notes)
    try:
        triangles, polygon_of = triangulate(vertices, corners, sizes)
    except GeometryError as error:
        raise Unreadable(
            f"it cannot be cut into triangles: {str(error)[0].lower()}{str(error)[1:-1]}",
            "export the sculpt with faces of three or four corners",
        ) from error
    if polygon_of is not None:
        # A polygon that comes back to a corner (two loops joined by a cut, say) may give flat triangles.
        sound = ~_repeats(triangles.reshape(-1), np.full(len(triangles), 3)).reshape(-1, 3).any(axis=1)
        if not sound.all():
            triangles, polygon_of = triangles[sound], polygon_of[sound]
    if faces is None:
        return triangles, polygon_of
    return triangles, faces if polygon_of is None else faces[polygon_of]


def _repeats(corners: Indices, sizes: Indices) -> np.ndarray:
    """Tell which corners are the same vertex as the one before them in their face, going round."""
    if len(sizes) and (sizes == 3).all():
        first, second, third = corners.reshape(-1, 3).T
        return np.stack([first == third, second == first, third == second], axis=1).reshape(-1)
    if len(sizes) and (sizes == sizes[0]).all() and sizes[0] > 0:
        rings = corners.reshape(len(sizes), -1)
        return np.asarray(rings == np.roll(rings, 1, axis=1)).reshape(-1)
    before = np.roll(corners, 1)
    full = sizes > 0
    ends = np.cumsum(sizes)[full]
    before[ends - sizes[full]] = corners[ends - 1]
    return np.asarray(before == corners)


def _without(
    repeats: np.ndarray, corners: Indices, sizes: Indices, notes: list[str]
) -> tuple[Indices, Indices, Indices]:
    face_of = np.repeat(np.arange(len(sizes)), sizes)
    left = np.bincount(face_of[~repeats], minlength=len(sizes))
    sound = left >= 3
    kept = ~repeats & sound[face_of]
    dropped = int(np.count_nonzero(~sound))
    if dropped:
        were = "was" if dropped == 1 else "were"
        notes.append(f"{counted(dropped, 'face')} with fewer than three different corners {were} left out.")
    mended = int(np.count_nonzero(sound & (left < sizes)))
    if mended:
        notes.append(f"A corner named twice running counts once in {counted(mended, 'face')}.")
    return corners[kept], left[sound], np.flatnonzero(sound)
