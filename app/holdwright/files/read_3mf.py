"""Reads 3MF by its core specification: a package with one model, of objects that are placed to be built.

The numbers stay in the file's unit where that is one of Holdwright's; microns and feet become millimetres.
"""

from collections.abc import Iterable, Iterator

from holdwright.files.instances import MOST_PLACED, Placed, surface_of, within
from holdwright.files.markup import LONGEST_TAG
from holdwright.files.model_scan import ModelScan
from holdwright.files.package import Package, model_part
from holdwright.files.read_3mf_model import ROWS, UNITS, Model, RowKind, rows_in_bulk
from holdwright.files.read_error import Unreadable, counted
from holdwright.files.surface import RawSurface
from holdwright.progress import SILENT, Progress

_TAGS = (b"<vertices>", b"<triangles>")
_LONGEST = max(map(len, _TAGS))


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
    rows: RowKind | None = None
    for chunk in chunks:
        text += chunk
        taken += len(chunk)
        more = True
        while more:
            rows, text, more = _take_bulk(scan, rows, text) if rows else _take_plain(scan, text)
        progress.report(0.8 * taken / max(size, 1), "reading the sculpt")
    scan.markup.feed(text)
    return scan.finish()


def _take_plain(scan: ModelScan, text: bytes) -> tuple[RowKind | None, bytes, bool]:
    """Feed the parser up to where rows begin; give which rows, the text left, and whether to go on."""
    place, tag = min(((found, tag) for tag in _TAGS if (found := text.find(tag)) >= 0), default=(-1, b""))
    if place < 0:
        end = max(len(text) - _LONGEST, 0)
        scan.markup.feed(text[:end])
        return None, text[end:], False
    scan.markup.feed(text[:place])
    scan.awaiting = None
    # Only the parser knows whether this is a tag, or looks like one within a comment, say.
    scan.markup.feed(tag)
    return scan.awaiting, text[place + len(tag) :], True


def _take_bulk(scan: ModelScan, kind: RowKind, text: bytes) -> tuple[RowKind | None, bytes, bool]:
    """Take as many rows as there are in bulk, or hand them to the parser where they are not plain."""
    end = text.find(f"</{kind.rows}>".encode())
    ended = end >= 0
    if not ended:
        closes = (b"/>", f"></{kind.element}>".encode())
        end = max(text.rfind(close) + len(close) if close in text else 0 for close in closes)
        if len(text) - end > LONGEST_TAG:
            end = len(text)
    part, left = text[:end], text[end:]
    if part and not part.isspace():
        rows = rows_in_bulk(part, kind)
        if rows is None:
            scan.markup.feed(part)
            return None, left, True
        scan.take(rows, kind)
    scan.markup.pass_over(part)
    return (None if ended else kind), left, ended


def _placed(model: Model) -> Iterator[Placed]:
    """Walk from the build items down to meshes, without recursion: a file may nest as deep as it likes."""
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
        if part.rows["triangles"]:
            label = name or f"object {number}"
            vertices, triangles = (part.rows[rows][0] for rows in ROWS)
            yield Placed(label.encode("utf-8", "replace"), vertices, triangles, placement)
    if supports:
        model.notes.append(f"{counted(supports, 'part')} meant as support for the print left out.")
