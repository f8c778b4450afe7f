"""The header of a PLY file and the tables it declares, in text or in binary.

Rows are cells: a number is one cell of text, or as many bytes as its kind has. Tables whose rows are all of
one length are cut by reshaping, others are walked row by row.

Source: Greg Turk, The PLY polygon file format (Stanford, 1994).
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from holdwright.files.numbers import scan_floats
from holdwright.files.read_error import Unreadable, counted, excerpt
from holdwright.geometry.arrays import Indices

_KINDS = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
    "float": "f4", "double": "f8",
    "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4",
    "int64": "i8", "uint64": "u8", "float32": "f4", "float64": "f8",
}  # fmt: skip
ByteOrder = Literal["", "<", ">"]
_FORMATS: dict[str, ByteOrder] = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_KEYWORDS = ("format", "element", "property", "comment", "obj_info")
_START = re.compile(rb"\s*ply[ \t]*(\r\n|\n|\r)")
_END = re.compile(rb"(?<=[\r\n])[ \t]*end_header[ \t]*(?=[\r\n]|\Z)")


@dataclass(frozen=True)
class Property:
    """One property: a number, or where `count` is given a list of them."""

    name: str
    kind: np.dtype[np.generic]
    count: np.dtype[np.generic] | None = None


@dataclass(frozen=True)
class Element:
    """A table of `count` rows with the same properties."""

    name: str
    count: int
    properties: tuple[Property, ...]


@dataclass(frozen=True)
class Header:
    """All that the header says; `body` is where it ends. Numbers are text where `order` is empty.

    `notes` tell of lines passed over.
    """

    order: ByteOrder
    elements: tuple[Element, ...]
    body: int
    notes: tuple[str, ...] = ()


def read_header(content: bytes) -> Header:
    """Read the header; `Unreadable` when it has no end, or a line of it makes no sense."""
    start = _START.match(content)
    end = _END.search(content, start.end() - 1) if start else None
    if start is None or end is None:
        raise Unreadable("its header has no end (no end_header line)")
    order: ByteOrder | None = None
    elements: list[tuple[str, int, list[Property]]] = []
    odd: list[str] = []
    first = content.count(b"\n", 0, start.end()) if start[1] != b"\r" else 1
    lines = re.split(rb"\r\n|\n|\r", content[start.end() : end.start()])
    for number, line in enumerate(lines, first + 1):
        words = line[:1000].decode("latin-1").split()
        try:
            keyword = words[0] if words else "comment"
            if keyword == "format":
                order = _FORMATS[words[1]]
                if words[2:] not in ([], ["1"], ["1.0"]):
                    raise Unreadable(
                        f"it is of PLY version {excerpt(words[2].encode())}, and only 1.0 is read"
                    )
            elif keyword == "element":
                elements.append((words[1], _count(words[2]), []))
            elif keyword == "property":
                elements[-1][2].append(_property(words[1:]))
            elif keyword not in _KEYWORDS:
                odd.append(f"line {number}, {excerpt(line)}")
                _check_harmless(words)
        except (LookupError, ValueError):
            raise Unreadable(f"line {number} of its header, {excerpt(line)}, makes no sense") from None
    if order is None:
        raise Unreadable("its header has no format line")
    after = end.end() + (content[end.end() : end.end() + len(start[1])] == start[1]) * len(start[1])
    tables = tuple(Element(name, count, tuple(properties)) for name, count, properties in elements)
    more = f" and {counted(len(odd) - 1, 'line')} more" if len(odd) > 1 else ""
    notes = (f"Passed over in the header, since PLY has no such keyword: {odd[0]}{more}.",) if odd else ()
    return Header(order, tables, after, notes)


def _check_harmless(words: list[str]) -> None:
    """Refuse a line of unknown keyword that may be a misspelled one: without it all after it is misread."""
    if get_close_matches(words[0].lower(), _KEYWORDS) or set(words[1:2]) & {"list", *_KINDS}:
        raise ValueError(words[0])


def _count(word: str) -> int:
    if not word.isdecimal() or len(word) > 30:
        raise ValueError(word)
    return int(word)


def _property(words: list[str]) -> Property:
    if words[0] != "list":
        return Property(words[1], np.dtype(_KINDS[words[0]]))
    count = np.dtype(_KINDS[words[1]])
    if count.kind == "f":
        raise ValueError(words[1])
    return Property(words[3], np.dtype(_KINDS[words[2]]), count)


Kind = np.dtype[np.generic]


@dataclass(frozen=True)
class PlyBody:
    """Cells after the header."""

    cells: NDArray[np.float64] | NDArray[np.uint8]
    """(n,) float64 of a text file's numbers, or uint8 of a binary one's bytes."""
    order: ByteOrder
    """Byte order, "<" or ">"; empty for text."""

    def width(self, kind: Kind) -> int:
        """Cells that one number takes."""
        return kind.itemsize if self.order else 1

    def numbers(self, cells: NDArray[np.generic], kind: Kind) -> NDArray[np.generic]:
        """Turn (n, k * width) cells into (n, k) numbers."""
        return np.ascontiguousarray(cells).view(kind.newbyteorder(self.order)) if self.order else cells

    def size_at(self, place: int, kind: Kind) -> int:
        """Give the length of the list that begins at a cell; -1 where there is none."""
        cells = self.cells[place : place + self.width(kind)]
        if len(cells) < self.width(kind):
            return -1
        if self.order:
            return int.from_bytes(
                cells.tobytes(), "little" if self.order == "<" else "big", signed=kind.kind == "i"
            )
        size = float(cells[0])
        return int(size) if size.is_integer() else -1


def body_of(content: bytes, header: Header) -> PlyBody:
    """Take the cells of the whole body; `Unreadable` when a word of a text body is no number."""
    if header.order:
        return PlyBody(np.frombuffer(content, np.uint8, offset=header.body), header.order)
    text = content[header.body :]
    cells = scan_floats(text) if text.strip() else np.zeros(0)
    if cells is None:
        raise Unreadable(_odd_word(text, content.count(b"\n", 0, header.body) + 1))
    return PlyBody(cells, "")


def _odd_word(text: bytes, line: int) -> str:
    for number, words in enumerate(text.split(b"\n"), line):
        if words.strip() and scan_floats(words) is None:
            odd = next(word for word in words.split() if scan_floats(word) is None)
            return f"line {number} has {excerpt(odd)} where a number belongs"
    return "it has something where a number belongs"


@dataclass
class Table:
    """Where the rows of an element stand."""

    starts: Indices
    """(rows,) cell at which the required property of each row starts: past the length of a list."""
    sizes: Indices
    """(rows,) how many numbers it has in each row."""
    end: int
    """The cell after the table."""


def find_rows(body: PlyBody, start: int, element: Element, required: str) -> Table:
    """Find the property `required` in every row of a table that starts at a cell.

    `Unreadable` when the body is too short for the table or a list has no sensible length.
    """
    least = sum(body.width(each.count or each.kind) for each in element.properties)
    if least * element.count > len(body.cells) - start:
        raise _cut_short(element)
    if element.count == 0 or not element.properties:
        return Table(np.zeros(0, np.int64), np.zeros(0, np.int64), start)
    return _rows_alike(body, start, element, required) or _rows_walked(body, start, element, required)


def numbers_at(body: PlyBody, starts: Indices, size: int, kind: Kind) -> NDArray[np.generic]:
    """Gather (rows, size) numbers, those of each row beginning at its start."""
    width = size * body.width(kind)
    if width == 0 or len(starts) == 0:
        return np.zeros((len(starts), size))
    windows = np.lib.stride_tricks.sliding_window_view(body.cells, width)
    return body.numbers(windows[starts], kind)


def _rows_alike(body: PlyBody, start: int, element: Element, required: str) -> Table | None:
    """Take all rows for as long as the first, if each of their lists is."""
    place, offset, length = start, 0, 1
    lists: list[tuple[int, int]] = []
    for each in element.properties:
        size = 1
        if each.count is not None:
            size = body.size_at(place, each.count)
            lists.append((place - start, place - start + body.width(each.count)))
            place += body.width(each.count)
        if size < 0 or place + size * body.width(each.kind) > len(body.cells):
            raise _bad_list(element, 0)
        if each.name == required:
            offset, length = place - start, size
        place += size * body.width(each.kind)
    row = place - start
    end = start + row * element.count
    if end > len(body.cells):
        return None
    rows = body.cells[start:end].reshape(element.count, row)
    if any((rows[:, left:right] != rows[0, left:right]).any() for left, right in lists):
        return None
    return Table(start + offset + row * np.arange(element.count), np.full(element.count, length), end)


def _rows_walked(body: PlyBody, start: int, element: Element, required: str) -> Table:
    starts, sizes = np.zeros(element.count, np.int64), np.zeros(element.count, np.int64)
    steps = [(each, each.name == required, body.width(each.kind)) for each in element.properties]
    place = start
    for row in range(element.count):
        for each, is_required, width in steps:
            size = 1
            if each.count is not None:
                size = body.size_at(place, each.count)
                place += body.width(each.count)
                if size < 0:
                    raise _bad_list(element, row)
            if is_required:
                starts[row], sizes[row] = place, size
            place += size * width
        if place > len(body.cells):
            raise _cut_short(element, row)
    return Table(starts, sizes, place)


def _cut_short(element: Element, row: int | None = None) -> Unreadable:
    ends = "the file is too short for them" if row is None else f"it ends within number {row + 1:,}"
    return Unreadable(f"its header counts {counted(element.count, element.name)}, but {ends}")


def _bad_list(element: Element, row: int) -> Unreadable:
    return Unreadable(
        f"a list in {element.name} {row:,} (counted from 0) has no sensible length or passes the file's end"
    )
