"""Reads 3MF by its core specification: a package with one model, of objects that are placed to be built.

The numbers stay in the file's unit where that is one of Holdwright's; microns and feet become millimetres.
"""

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np

from holdwright.files.instances import MOST_PLACED, Placed, surface_of, within
from holdwright.files.markup import LONGEST_TAG
from holdwright.files.model_3mf import Model, ModelObject, triangles_in_bulk, vertices_in_bulk
from holdwright.files.model_scan import ModelScan
from holdwright.files.package import Package, model_part
from holdwright.files.read_error import Unreadable, counted
from holdwright.files.surface import RawSurface
from holdwright.geometry.arrays import Floats
from holdwright.progress import SILENT, Progress
from holdwright.units import LengthUnit

UNITS: Final[dict[str, tuple[LengthUnit, float]]] = {
    "micron": ("mm", 0.001),
    "millimeter": ("mm", 1.0),
    "centimeter": ("cm", 1.0),
    "inch": ("inch", 1.0),
    "foot": ("mm", 304.8),
    "meter": ("m", 1.0),
}
"""Unit of the sculpt and what the file's numbers are multiplied by, for each unit a file may have."""

_ROWS = (b"<vertices>", b"<triangles>")
_CLOSES = {"vertices": (b"/>", b"></vertex>"), "triangles": (b"/>", b"></triangle>")}
_LONGEST = max(map(len, _ROWS))


def read_3mf(content: bytes, progress: Progress = SILENT) -> RawSurface:
    """Read what a 3MF package is to build; objects that no build item asks for are left out.

    Each mesh is a piece for each place it is built in, named after its object, or one above that has a name.

    Raises
    ------
    Unreadable
        When the package or its model breaks a rule of the specification that bears on shapes, requires an
        extension that is not read, or builds nothing.
    """
    package = Package(content)
    part = model_part(package)
    model = read_model(package.chunks(part), package.size(part), progress)
    unit, factor = UNITS[model.unit]
    if factor != 1.0:
        model.notes.append(f"Its numbers, in the unit {model.unit}, were turned into millimetres.")
    return surface_of(list(_placed(model)), model.notes, unit, factor)


def read_model(chunks: Iterable[bytes], size: int, progress: Progress = SILENT) -> Model:
    """Read a model part: rows of meshes in bulk wherever they are plain, all else by the XML parser."""
    scan = ModelScan()
    text, taken = b"", 0
    bulk = ""
    for chunk in chunks:
        text += chunk
        taken += len(chunk)
        while True:
            if bulk:
                bulk, text, more = _take_bulk(scan, bulk, text)
            else:
                bulk, text, more = _take_plain(scan, text)
            if not more:
                break
        progress.report(0.8 * taken / max(size, 1), "reading the sculpt")
    scan.markup.feed(text)
    return scan.finish()


def _take_plain(scan: ModelScan, text: bytes) -> tuple[str, bytes, bool]:
    """Feed the parser up to where rows begin; give which rows, the text left, and whether to go on."""
    place, tag = min(((found, tag) for tag in _ROWS if (found := text.find(tag)) >= 0), default=(-1, b""))
    if place < 0:
        kept = max(len(text) - _LONGEST, 0)
        scan.markup.feed(text[:kept])
        return "", text[kept:], False
    scan.markup.feed(text[:place])
    scan.awaiting = ""
    # Only the parser knows whether this is a tag, or looks like one within a comment, say.
    scan.markup.feed(tag)
    return scan.awaiting, text[place + len(tag) :], True


def _take_bulk(scan: ModelScan, rows: str, text: bytes) -> tuple[str, bytes, bool]:
    """Take rows in bulk, as many as are there, or hand them to the parser where they are not plain."""
    end = text.find(f"</{rows}>".encode())
    ended = end >= 0
    if not ended:
        end = max(text.rfind(close) + len(close) if close in text else 0 for close in _CLOSES[rows])
        if len(text) - end > LONGEST_TAG:
            end = len(text)
    part, left = text[:end], text[end:]
    if part and not part.isspace():
        if rows == "vertices" and (vertices := vertices_in_bulk(part)) is not None:
            scan.take_vertices(vertices)
        elif rows == "triangles" and (triangles := triangles_in_bulk(part)) is not None:
            scan.take_triangles(triangles)
        else:
            scan.markup.feed(part)
            return "", left, True
    scan.markup.pass_over(part)
    return ("" if ended else rows), left, ended


def _placed(model: Model) -> Iterator[Placed]:
    """Walk from the build items down to meshes, without recursion: a file may nest as deep as it likes."""
    meshes: dict[int, tuple[Floats, np.ndarray]] = {}
    supports = visits = 0
    stack = [(item, placement, "") for item, placement in reversed(model.items)]
    while stack:
        visits += 1
        if visits > MOST_PLACED:
            raise Unreadable(f"it places more than {MOST_PLACED:,} parts, those within parts counted again")
        number, placement, above = stack.pop()
        part = model.parts[number]
        if part.kind in ("support", "solidsupport"):
            supports += 1
            continue
        name = part.name or above
        for inner, own in reversed(part.components):
            stack.append((inner, within(own, placement), name))
        if part.triangles:
            if number not in meshes:
                meshes[number] = (_vertices(part), part.triangles[0])
            label = name or f"object {number}"
            yield Placed(label.encode("utf-8", "replace"), *meshes[number], placement)
    if supports:
        model.notes.append(f"{counted(supports, 'part')} meant as support for the print left out.")


def _vertices(part: ModelObject) -> Floats:
    return part.vertices[0] if len(part.vertices) == 1 else np.concatenate(part.vertices)
