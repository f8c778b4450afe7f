"""The header of a PLY file: which elements follow, how many, and of what properties.

Source: Greg Turk, The PLY polygon file format (Stanford, 1994).
"""

import re
from dataclasses import dataclass
from typing import Literal

import numpy as np

from holdwright.files.read_error import Unreadable, excerpt

_KINDS = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
    "float": "f4", "double": "f8",
    "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4",
    "int64": "i8", "uint64": "u8", "float32": "f4", "float64": "f8",
}  # fmt: skip
ByteOrder = Literal["", "<", ">"]
_FORMATS: dict[str, ByteOrder] = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_KEYWORDS = {word: word for word in ("format", "element", "property", "comment", "obj_info")}
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
    """All that the header says; `body` is where it ends. Numbers are text where `order` is empty."""

    order: ByteOrder
    elements: tuple[Element, ...]
    body: int


def read_header(content: bytes) -> Header:
    """Read the header.

    Raises
    ------
    Unreadable
        When it has no end, or a line of it makes no sense.
    """
    start = _START.match(content)
    end = _END.search(content, start.end() - 1) if start else None
    if start is None or end is None:
        raise Unreadable("its header has no end (no end_header line)")
    order: ByteOrder | None = None
    elements: list[tuple[str, int, list[Property]]] = []
    first = content.count(b"\n", 0, start.end()) if start[1] != b"\r" else 1
    lines = re.split(rb"\r\n|\n|\r", content[start.end() : end.start()])
    for number, line in enumerate(lines, first + 1):
        words = line[:1000].decode("latin-1").split()
        try:
            keyword = _KEYWORDS[words[0]] if words else "comment"
            if keyword == "format":
                order = _FORMATS[words[1]]
            elif keyword == "element":
                elements.append((words[1], _count(words[2]), []))
            elif keyword == "property":
                elements[-1][2].append(_property(words[1:]))
        except (LookupError, ValueError):
            raise Unreadable(f"line {number} of its header, {excerpt(line)}, makes no sense") from None
    if order is None:
        raise Unreadable("its header has no format line")
    after = end.end() + (content[end.end() : end.end() + len(start[1])] == start[1]) * len(start[1])
    tables = tuple(Element(name, count, tuple(properties)) for name, count, properties in elements)
    return Header(order, tables, after)


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
