"""Meshes put in place, as often as a file asks, and made one surface; for formats that know placed parts.

Placements are (4, 4) matrices that act on rows from the right: (x, y, z, 1) @ matrix. So both formats write
them, and a part's placement within its parent comes first in a product.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from holdwright.files.read_error import Unreadable, excerpt, left_out
from holdwright.files.surface import RawSurface, bad_vertex, coordinate_reason
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import collapsed_triangles

MOST_PLACED: Final = 100_000
"""Parts placed, groups of parts included: a scene of a sculpt has a few hundred."""

MOST_TRIANGLES: Final = 5_000_000
"""Triangles that a file may make by placing parts repeatedly; one that really holds more is read."""

_FLAT = 1e-12


class Placed(NamedTuple):
    """A mesh in one place."""

    name: bytes
    """UTF-8, for the piece."""
    vertices: Floats
    triangles: Indices
    """vertices and triangles: (n, 3) float64 and (m, 3) int64, valid; shared between placements."""
    placement: Floats
    """(4, 4), not flat."""


def is_flat(placement: Floats) -> bool:
    """Tell whether a placement flattens what it places, or is no finite one at all."""
    linear = placement[:3, :3]
    largest = float(np.abs(linear).max())
    if not np.isfinite(placement).all() or largest == 0.0:
        return True
    return abs(float(np.linalg.det(linear / largest))) < _FLAT


def within(placement: Floats, above: Floats) -> Floats:
    """Give the placement of a part whose own is `placement`, in a whole that is placed by `above`."""
    with np.errstate(all="ignore"):  # `surface_of` refuses a product that is not finite
        return placement @ above


def surface_of(
    placed: Sequence[Placed], notes: list[str], unit: str | None, factor: float = 1.0
) -> RawSurface:
    """Put meshes in place, each as a piece; those that a placement mirrors are turned right again.

    Parameters
    ----------
    notes
        Gains sentences on what was left out.
    unit
        Declared by the file, or None.
    factor
        All coordinates are multiplied by it.

    Raises
    ------
    Unreadable
        When there is nothing, too much, or a vertex used that has no usable coordinates.
    """
    placed = [each for each in placed if len(each.triangles)]
    if not placed:
        raise Unreadable("it places no triangles", "export the sculpt as a mesh")
    _check_amount(placed)
    for each in placed:
        if is_flat(each.placement):
            raise Unreadable(f"its placing flattens {excerpt(each.name)}")
    vertices = np.concatenate([_moved(each, factor) for each in placed])
    offsets = np.cumsum([0, *(len(each.vertices) for each in placed)])
    triangles = np.concatenate(
        [_wound(each) + offset for each, offset in zip(placed, offsets.tolist(), strict=False)]
    )
    piece_of = np.repeat(np.arange(len(placed)), [len(each.triangles) for each in placed])
    bad = bad_vertex(vertices, triangles, notes)
    if bad is not None:
        which = int(np.searchsorted(offsets, bad, side="right")) - 1
        raise Unreadable(
            f"vertex {bad - int(offsets[which]):,} (counted from 0) of {excerpt(placed[which].name)} "
            f"{coordinate_reason(vertices[bad])}"
        )
    collapsed = collapsed_triangles(triangles)
    if dropped := int(np.count_nonzero(collapsed)):
        notes.append(left_out(dropped, "triangle", "with fewer than three different corners"))
        triangles, piece_of = triangles[~collapsed], piece_of[~collapsed]
    names = [each.name for each in placed]
    return RawSurface(vertices, triangles, piece_of, names, notes, unit, _copies(placed, factor))


def _copies(placed: Sequence[Placed], factor: float) -> dict[int, tuple[int, Floats]]:
    """Find placements of a mesh that are an earlier one of it, moved as a rigid body; as columns act."""
    first: dict[int, int] = {}
    copies = {}
    for index, each in enumerate(placed):
        number = first.setdefault(id(each.vertices), index)
        if number == index:
            continue
        motion = np.asarray(np.linalg.solve(placed[number].placement, each.placement).T, np.float64)
        linear = motion[:3, :3]
        if np.allclose(linear @ linear.T, np.eye(3), rtol=0.0, atol=1e-12) and np.linalg.det(linear) > 0.0:
            motion[:3, 3] *= factor
            copies[index] = (number, motion)
    return copies


def _check_amount(placed: Sequence[Placed]) -> None:
    for noun, rows in (
        ("triangles", [each.triangles for each in placed]),
        ("vertices", [each.vertices for each in placed]),
    ):
        held = sum({id(row): len(row) for row in rows}.values())
        total = sum(len(row) for row in rows)
        if total > max(MOST_TRIANGLES, held):
            raise Unreadable(
                f"its parts, placed as it asks, would make {total:,} {noun}, and more than "
                f"{MOST_TRIANGLES:,} are not made by repeating",
                "export the sculpt with fewer copies",
            )


def _moved(each: Placed, factor: float) -> Floats:
    with np.errstate(over="ignore", invalid="ignore"):  # what comes out of it is checked by the caller
        if (each.placement == np.eye(4)).all():
            return each.vertices * factor if factor != 1.0 else each.vertices
        moved: Floats = each.vertices @ each.placement[:3, :3] + each.placement[3, :3]
        return moved * factor if factor != 1.0 else moved


def _wound(each: Placed) -> Indices:
    linear = each.placement[:3, :3]
    mirrored = float(np.linalg.det(linear / np.abs(linear).max())) < 0.0
    return each.triangles[:, ::-1] if mirrored else each.triangles
