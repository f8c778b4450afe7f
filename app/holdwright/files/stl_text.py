"""The facets of a text STL: a quick way for text laid out as usual, an exact one for any other layout."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from holdwright.files.lines import blocks, line_number, plain_lines, tidy
from holdwright.files.numbers import NUMBER_LETTERS, number, scan_floats
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats
from holdwright.progress import Progress

_FLUSH = 10_000
_CORNER = rb"\s++vertex\s++(\S++)\s++(\S++)\s++(\S++)"
_FACET = re.compile(
    rb"\s*+facet(?:\s++normal(?:\s++\S++){3})?\s++outer\s++loop"
    + 3 * _CORNER
    + rb"\s++endloop\s++endfacet(?!\S)",
    re.IGNORECASE,
)
_SOLID = re.compile(
    rb"\s*+(?:(end[ \t]?)solid(?!\S)(?:(?!\s(?:facet|solid)\s)[^\n])*+"
    rb"|solid(?!\S)((?:(?!\sfacet\s++(?:normal|outer)\s)[^\n])*+))",
    re.IGNORECASE,
)
_SOLID_LINE = re.compile(rb"^(end ?)?solid(?: (.*))?\n", re.MULTILINE)
_KEYWORDS = (
    (b"facet normal", b"N"),
    (b"outer loop", b"O"),
    (b"vertex", b"V"),
    (b"endloop", b"L"),
    (b"endfacet", b"F"),
)
_USUAL_SHAPE = b"N   \nO\nV   \nV   \nV   \nL\nF\n"


@dataclass
class Facets:
    """Corners (n, 3, 3) float64 of the facets, and the name and number of facets of each solid."""

    names: list[bytes] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    parts: list[Floats] = field(default_factory=list)

    def begin(self, name: bytes) -> None:
        """Start a solid."""
        self.names.append(name.strip())
        self.sizes.append(0)

    def add(self, corners: Floats) -> None:
        """Put (n, 9) corners into the solid that is open, one without a name where none is."""
        if not self.names:
            self.begin(b"")
        self.parts.append(corners)
        self.sizes[-1] += len(corners)

    @property
    def corners(self) -> Floats:
        """(n, 3, 3) float64."""
        return np.concatenate(self.parts).reshape(-1, 3, 3) if self.parts else np.zeros((0, 3, 3))


def text_facets(content: bytes, progress: Progress) -> Facets:
    """Read all facets of a text STL.

    Raises
    ------
    Unreadable
        Where the text is no solid, facet of three corners, or end of one.
    """
    text = plain_lines(content)
    facets = Facets()
    for start, end in _blocks(text):
        if not _take_usual(text[start:end], facets):
            _take_any(text, start, end, facets)
        progress.report(0.8 * end / len(text), "reading the sculpt")
    facets.parts = [facets.corners.reshape(-1, 9)]
    return facets


def _blocks(text: bytes) -> Iterator[tuple[int, int]]:
    return blocks(text, b"ENDFACET" if b"ENDFACET" in text else b"endfacet")


def _take_usual(block: bytes, facets: Facets) -> bool:
    """Take a block in which each facet stands on its seven lines; tells whether it was one."""
    block = tidy(block).strip(b"\n") + b"\n"
    lower = block.lower()
    found: list[Floats | bytes] = []
    place = 0
    solids = list(_SOLID_LINE.finditer(lower))
    for solid in [*solids, None]:
        between = lower[place : solid.start() if solid else len(lower)]
        if solid and (b" facet " in solid[0] or solid[0].count(b"solid") > 1):
            return False
        if between:
            corners = _usual_corners(between)
            if corners is None:
                return False
            found.append(corners)
        if solid and not solid[1]:
            found.append(block[slice(*solid.span(2))] if solid[2] else b"")
        place = solid.end() if solid else place
    for each in found:
        if isinstance(each, bytes):
            facets.begin(each)
        else:
            facets.add(each)
    return True


def _usual_corners(text: bytes) -> Floats | None:
    """Read facets of seven tidy lines each, in small letters, as (n, 9); None when they are not all so."""
    for keyword, letter in _KEYWORDS:
        text = text.replace(keyword, letter)
    shape = text.translate(None, NUMBER_LETTERS)
    count = len(shape) // len(_USUAL_SHAPE)
    if shape != _USUAL_SHAPE * count:
        return None
    # No line can hold fewer words than it has single blanks; so where the sum is right, each holds as many.
    values = scan_floats(text.translate(None, b"NOVLF"))
    return values.reshape(count, 12)[:, 3:] if values is not None and len(values) == 12 * count else None


def _take_any(text: bytes, start: int, end: int, facets: Facets) -> None:
    """Take a block of any layout, a solid or a facet at a time."""
    rows: list[list[float]] = []

    def flush() -> None:
        if rows:
            facets.add(np.array(rows))
            rows.clear()

    while True:
        met = _FACET.match(text, start, end)
        if met:
            rows.append([number(word) for word in met.groups()])
            if len(rows) >= _FLUSH:
                flush()
        else:
            flush()
            met = _SOLID.match(text, start, end)
            if met is None:
                break
            if not met[1]:
                facets.begin(met[2])
        start = met.end()
    rest = text[start:end].lstrip()
    if rest:
        place = end - len(rest)
        first = rest.partition(b"\n")[0].strip()
        raise Unreadable(
            f"what begins on line {line_number(text, place)} with {excerpt(first)} "
            "is no whole facet of three corners"
        )
