"""From vertices and faces as read to triangles, and to the pieces of a sculpt."""

from dataclasses import dataclass, field

import numpy as np

from holdwright.errors import GeometryError
from holdwright.files.read_error import Unreadable, counted, left_out
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import collapsed_triangles
from holdwright.geometry.mesh.polygon import triangulate
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.printable import printable


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
        sound = ~collapsed_triangles(triangles)
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
        notes.append(left_out(dropped, "face", "with fewer than three different corners"))
    mended = int(np.count_nonzero(sound & (left < sizes)))
    if mended:
        notes.append(f"A corner named twice running counts once in {counted(mended, 'face')}.")
    return corners[kept], left[sound], np.flatnonzero(sound)


COORDINATE_LIMIT = 1e9
"""Greatest coordinate taken, in any unit: a hold is nowhere near it, so a greater one is a damaged number."""

MOST_PIECES = 10_000
"""With more groups than this, the groups are no strokes of a hand, and are read as one piece."""

_FAR = 10.0
_LONGEST_NAME = 80


@dataclass
class RawSurface:
    """What a reader found in a file."""

    vertices: Floats
    """(n, 3) float64, file units; some may be unused, and those may be anything."""
    triangles: Indices
    """(m, 3) int64, every index valid, the vertices used finite."""
    piece_of: Indices | None = None
    """(m,) which piece each triangle belongs to, as an index into `names`; None when there is one."""
    names: list[bytes] = field(default_factory=lambda: [b""])
    """Raw names of the pieces, empty where the file gives none."""
    notes: list[str] = field(default_factory=list)
    """Sentences for the user."""
    unit: str | None = None
    """The unit the file declares, or None."""
    copies: dict[int, tuple[int, Floats]] = field(default_factory=dict)
    """By the index of a piece that is an earlier one moved: that one's index, and the (4, 4) rigid motion."""


def bad_vertex(vertices: Floats, corners: Indices, notes: list[str]) -> int | None:
    """Find the first vertex that a face uses and that is not finite or is beyond the limit.

    Parameters
    ----------
    vertices
        (n, 3) float64.
    corners
        Indices of the vertices used, any shape.
    notes
        Gains a sentence on such vertices that no face uses.
    """
    flat = vertices.reshape(-1)
    if flat.max(initial=0.0) <= COORDINATE_LIMIT and flat.min(initial=0.0) >= -COORDINATE_LIMIT:
        return None
    bad = ~(np.abs(vertices) <= COORDINATE_LIMIT).all(axis=1)
    used = np.zeros(len(vertices), dtype=bool)
    used[corners] = True
    if (bad & used).any():
        return int(np.argmax(bad & used))
    unused = int(np.count_nonzero(bad))
    notes.append(left_out(unused, "vertex", "without usable coordinates, used by no face,"))
    return None


def bad_corner(corners: Indices, sizes: Indices, count: int) -> tuple[int, int] | None:
    """Find the face, and the corner within it, of the first of (k,) corners that is no index of `count`."""
    if corners.min(initial=0) >= 0 and corners.max(initial=-1) < count:
        return None
    corner = int(np.argmax((corners < 0) | (corners >= count)))
    ends = np.cumsum(sizes)
    face = int(np.searchsorted(ends, corner, side="right"))
    return face, corner - int(ends[face] - sizes[face])


def coordinate_reason(vertex: Floats) -> str:
    """Say what is wrong with the (3,) coordinates of a vertex that `bad_vertex` found."""
    if not np.isfinite(vertex).all():
        return "has a coordinate that is not a finite number"
    worst = float(vertex[np.argmax(np.abs(vertex))])
    return (
        f"has a coordinate of {worst:.3g}, beyond the {COORDINATE_LIMIT:.0e} where a hold can be, "
        "so the number must be damaged"
    )


def sculpt_of(surface: RawSurface, stem: str, digest: str, kind: str) -> Sculpt:
    """Cut a surface into pieces of their own vertices and move it near the origin.

    The origin is taken off exactly: along each axis on which the middle of the bounding box is further from
    zero than 10 times the greatest extent, it is that middle; along the others it is zero.

    Parameters
    ----------
    stem
        Name of a piece that has none in the file.
    digest, kind
        Pass into the sculpt.

    Raises
    ------
    Unreadable
        When there is no triangle, or all of them sit in one point.
    """
    if len(surface.triangles) == 0:
        raise Unreadable("it holds no triangle with three different corners", "export the sculpt as a mesh")
    cut = _cut(surface)
    corners = np.array([_bounds(vertices) for _, vertices, _ in cut.values()])
    low, high = corners[:, 0].min(axis=0), corners[:, 1].max(axis=0)
    extent = float((high - low).max())
    if extent == 0.0:
        raise Unreadable("all its triangles sit in one point")
    middle = (low + high) / 2
    origin = np.where(np.abs(middle) > _FAR * extent, middle, 0.0)
    names = dict(zip(cut, _unique_names([name for name, _, _ in cut.values()], stem), strict=True))
    to_origin = np.eye(4)
    to_origin[:3, 3] = -origin

    def copied(index: int) -> tuple[str, Floats] | None:
        first, motion = surface.copies.get(index, (-1, to_origin))
        return (names[first], to_origin @ motion @ np.linalg.inv(to_origin)) if first in names else None

    pieces = tuple(
        Piece(names[index], vertices - origin if origin.any() else vertices, triangles, copied(index))
        for index, (_, vertices, triangles) in cut.items()
    )
    return Sculpt(pieces, origin, digest, surface.unit, tuple(surface.notes), kind)


def _cut(surface: RawSurface) -> dict[int, tuple[bytes, Floats, Indices]]:
    """Give raw name, vertices and triangles of each piece that has some, by its index."""
    piece_of, triangles = surface.piece_of, surface.triangles
    if piece_of is None:
        return {0: (surface.names[0], *_compact(surface.vertices, triangles))}
    if (np.diff(piece_of) < 0).any():
        order = np.argsort(piece_of, kind="stable")
        piece_of, triangles = piece_of[order], triangles[order]
    starts = np.flatnonzero(np.diff(piece_of, prepend=-1))
    if len(starts) > MOST_PIECES:
        surface.notes.append(f"The file names {len(starts):,} groups; they were read as one piece.")
        return {-1: (b"", *_compact(surface.vertices, surface.triangles))}
    ends = np.append(starts[1:], len(piece_of))
    return {
        int(piece_of[start]): (
            surface.names[piece_of[start]],
            *_compact(surface.vertices, triangles[start:end]),
        )
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
    }


def _compact(vertices: Floats, triangles: Indices) -> tuple[Floats, Indices]:
    """Keep the vertices used, in order; works within the range of the indices, so many pieces cost little."""
    low, high = int(triangles.min()), int(triangles.max()) + 1
    if high - low > 8 * triangles.size:
        kept, renumbered = np.unique(triangles, return_inverse=True)
        return vertices[kept], renumbered.reshape(-1, 3).astype(np.int64, copy=False)
    used = np.zeros(high - low, dtype=bool)
    used[triangles.reshape(-1) - low] = True
    if used.all():
        return vertices[low:high].copy(), triangles - low
    return vertices[low:high][used], (np.cumsum(used) - 1)[triangles - low]


def _bounds(vertices: Floats) -> Floats:
    """Give the (2, 3) least and greatest corner, column by column, as numpy is slow over rows of three."""
    return np.array([[column.min() for column in vertices.T], [column.max() for column in vertices.T]])


def _unique_names(raw: list[bytes], stem: str) -> list[str]:
    names: list[str] = []
    taken: set[str] = set()
    repeats: dict[str, int] = {}
    for required in (_readable(name) or printable(stem) for name in raw):
        name = required
        while name in taken:
            repeats[required] = repeats.get(required, 1) + 1
            name = f"{required} ({repeats[required]})"
        taken.add(name)
        names.append(name)
    return names


def _readable(raw: bytes) -> str:
    """Decode a name as UTF-8, else as Latin-1, on one line and of a length that can be shown."""
    short = raw[: 8 * _LONGEST_NAME]
    try:
        text = short.decode("utf-8") if len(short) == len(raw) else short.decode("utf-8", "ignore")
    except UnicodeDecodeError:
        text = short.decode("latin-1")
    text = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    return text if len(text) <= _LONGEST_NAME else text[: _LONGEST_NAME - 1] + "…"
