"""Reads PLY, in text or binary of either byte order: tables of vertices and of faces, without a unit."""

import numpy as np
from numpy.typing import NDArray

from holdwright.files.ply_tables import (
    Element,
    PlyBody,
    body_of,
    find_rows,
    numbers_at,
    read_header,
)
from holdwright.files.read_error import Unreadable, counted, left_unread
from holdwright.files.surface import RawSurface, bad_corner, bad_vertex, coordinate_reason, triangles_of
from holdwright.geometry.arrays import Floats, Indices
from holdwright.progress import SILENT, Progress

_CORNER_LISTS = ("vertex_indices", "vertex_index")
_AS_MESH = "export the sculpt as a mesh of faces"


def read_ply(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read the vertices and faces of a PLY file; all other elements and properties are passed over.

    `Unreadable` when the header, a count, an index or a coordinate used is wrong, or there are no faces.
    """
    header = read_header(content)
    _check_elements(header.elements)
    body = body_of(content, header)
    progress.report(0.3, "reading the sculpt")
    place, vertices, faces = 0, np.zeros((0, 3)), (np.zeros(0, np.int64), np.zeros(0, np.int64))
    for element in header.elements:
        if element.name == "vertex":
            vertices, place = _vertices(body, place, element)
        elif element.name == "face":
            faces, place = _faces(body, place, element)
        else:
            place = find_rows(body, place, element, "").end
    progress.report(0.6, "reading the sculpt")
    notes = list(header.notes)
    left = len(body.cells) - place
    if left:
        notes.append(left_unread(counted(left, "byte" if body.order else "number"), left, "faces"))
    return _surface(vertices, *faces, notes)


def _check_elements(elements: tuple[Element, ...]) -> None:
    named = {element.name: element for element in elements}
    if len(named) < len(elements):
        raise Unreadable("its header names an element twice")
    if "vertex" not in named or named["vertex"].count == 0:
        raise Unreadable("it holds no vertices", _AS_MESH)
    for axis in "xyz":
        if not any(each.name == axis and each.count is None for each in named["vertex"].properties):
            raise Unreadable(f"its vertices have no {axis} coordinate")
    if "face" not in named or named["face"].count == 0:
        raise Unreadable("it holds vertices but no faces", _AS_MESH)


def _vertices(body: PlyBody, place: int, element: Element) -> tuple[Floats, int]:
    kinds = {each.name: each.kind for each in element.properties}
    tables = [find_rows(body, place, element, axis) for axis in "xyz"]
    columns = [
        numbers_at(body, table.starts, 1, kinds[axis]) for axis, table in zip("xyz", tables, strict=True)
    ]
    return np.concatenate(columns, axis=1, dtype=np.float64), tables[0].end


def _faces(body: PlyBody, place: int, element: Element) -> tuple[tuple[Indices, Indices], int]:
    lists = (each for each in element.properties if each.name in _CORNER_LISTS and each.count is not None)
    corners = next(lists, None)
    if corners is None:
        raise Unreadable("its faces have no list of vertices")
    table = find_rows(body, place, element, corners.name)
    firsts = np.cumsum(table.sizes) - table.sizes
    gathered = np.zeros(int(table.sizes.sum()), dtype=np.int64)
    for size in np.unique(table.sizes).tolist():
        rows = np.flatnonzero(table.sizes == size)
        numbers = numbers_at(body, table.starts[rows], size, corners.kind)
        gathered[firsts[rows][:, None] + np.arange(size)] = _whole(numbers)
    return (gathered, table.sizes), table.end


def _whole(numbers: NDArray[np.generic]) -> Indices:
    """Turn vertex numbers into int64; what is no whole number becomes -1, which no vertex has."""
    if numbers.dtype.kind != "f":
        return numbers.astype(np.int64)
    sound = np.isfinite(numbers) & (np.floor(numbers) == numbers) & (np.abs(numbers) < 2.0**53)
    return np.where(sound, numbers, -1).astype(np.int64)


def _surface(vertices: Floats, corners: Indices, sizes: Indices, notes: list[str]) -> RawSurface:
    if odd := bad_corner(corners, sizes, len(vertices)):
        face, corner = odd
        vertex = int(corners[sizes[:face].sum() + corner])
        raise Unreadable(
            f"face {face:,} (counted from 0) names vertex {vertex:,}, "
            f"but the file has vertices 0 to {len(vertices) - 1:,}"
        )
    bad = bad_vertex(vertices, corners, notes)
    if bad is not None:
        raise Unreadable(f"vertex {bad:,} (counted from 0) {coordinate_reason(vertices[bad])}")
    triangles, _ = triangles_of(vertices, corners, sizes, notes)
    return RawSurface(vertices, triangles, notes=notes)
