"""What a drawing is made of, in mm on the paper, x to the right and y up."""

from dataclasses import dataclass
from typing import Final, Literal

from holdwright.render.off_screen import Pixels
from holdwright.render.tones import ACCENT, FAINT, INK

SMALL: Final = 2.0
"""Height of the letters of figures on a drawing, mm."""
CAP: Final = 0.73
"""Height of a capital letter by the size of its font."""
ARROW: Final = 1.8
"""Length of a dimension's arrow, mm: a third as wide, as ISO 129-1 has arrows narrow and filled."""

_LETTER: Final = 1.6
"""Width that a letter of a figure takes, mm, with some to spare."""


@dataclass(frozen=True)
class Line:
    """A straight line."""

    ends: tuple[float, float, float, float]
    """x and y of one end, then of the other."""
    colour: str = INK
    width: float = 0.18
    dashed: bool = False
    """Whether it is a chain of dashes and dots, as for axes and cuts."""


@dataclass(frozen=True)
class Area:
    """A filled polygon without a border."""

    corners: tuple[tuple[float, float], ...]
    colour: str = INK


@dataclass(frozen=True)
class Words:
    """A line of text on its base line."""

    x: float
    y: float
    text: str
    size: float = SMALL
    anchor: Literal["start", "middle", "end"] = "middle"
    colour: str = INK
    bold: bool = False
    upward: bool = False
    """Whether it runs from the bottom to the top."""


@dataclass(frozen=True, eq=False)
class Image:
    """A picture in a rectangle."""

    x: float
    y: float
    width: float
    height: float
    pixels: Pixels
    """(height, width, 3) uint8, first row on top."""


Mark = Line | Area | Words | Image


def dimension(start: float, stop: float, at: float, text: str, *, upright: bool = False) -> list[Mark]:
    """Draw a dimension line with an arrow at each end and its figure over it; no helping lines.

    Parameters
    ----------
    start, stop
        Where it begins and ends, along x, or along y where it is upright.
    at
        Where it lies across.
    """

    def turned(along: float, across: float) -> tuple[float, float]:
        return (across, along) if upright else (along, across)

    inside = stop - start > 3 * ARROW
    marks: list[Mark] = [Line((*turned(start, at), *turned(stop, at)), FAINT)]
    for end, way in ((start, 1.0), (stop, -1.0)):
        tail = end + way * ARROW * (1 if inside else -1)
        corners = (turned(end, at), turned(tail, at - ARROW / 6), turned(tail, at + ARROW / 6))
        marks.append(Area(corners, FAINT))
    x, y = turned((start + stop) / 2, at)
    if upright:
        return [*marks, Words(x - 0.8, y, text, upward=True)]
    if stop - start < _LETTER * len(text):  # no room between the arrows
        return [*marks, Words(start - ARROW - 0.8, at - SMALL / 2, text, anchor="end")]
    return [*marks, Words(x, y + 0.8, text)]


def cut_line(at: float, low: float, high: float, name: str) -> list[Mark]:
    """Draw the upright line of a section, with its name at both ends and arrows the way it is looked at."""
    marks: list[Mark] = [Line((at, low, at, high), ACCENT, 0.16, dashed=True)]
    for y in (low, high):
        tail = at + ARROW
        marks.append(Line((at, y, at + 2 * ARROW, y), ACCENT))
        marks.append(Area(((at, y), (tail, y - ARROW / 6), (tail, y + ARROW / 6)), ACCENT))
        marks.append(Words(at + 2 * ARROW + 0.8, y - SMALL / 2, name, SMALL, "start", ACCENT, bold=True))
    return marks


def helping_lines(places: list[float], start: float, stop: float, *, upright: bool = False) -> list[Mark]:
    """Draw thin lines at some places that lead from the hold to its dimension lines.

    Parameters
    ----------
    upright
        Whether they belong to an upright dimension, and so are level.
    """
    ends = [(start, each, stop, each) if upright else (each, start, each, stop) for each in places]
    return [Line(each, FAINT, 0.1) for each in ends]


def ordinates(
    places: list[tuple[float, str]], start: float, at: float, *, upright: bool = False
) -> list[Mark]:
    """Draw running dimensions from one edge: a line from each place to its figure.

    Parameters
    ----------
    places
        Where along the edge, and the figure; figures that would run into each other are moved apart.
    start, at
        Where the lines begin and end across.
    """
    marks: list[Mark] = []
    ordered = sorted(places)
    for (place, text), moved in zip(ordered, spread([each for each, _ in ordered], SMALL + 0.9), strict=True):
        bend = start + 0.45 * (at - start)
        for one, other in (((place, start), (place, bend)), ((place, bend), (moved, at))):
            ends = (one[1], one[0], other[1], other[0]) if upright else (*one, *other)
            marks.append(Line(ends, FAINT, 0.1))
        if upright:
            marks.append(Words(at - 0.8, moved - SMALL / 3, text, anchor="end"))
        else:
            marks.append(Words(moved + SMALL / 3, at - 0.8, text, anchor="end", upward=True))
    return marks


def spread(places: list[float], least: float) -> list[float]:
    """Move rising places apart to at least so much, each group about where it was.

    >>> spread([0.0, 10.0, 11.0], 3.0)
    [0.0, 9.0, 12.0]
    """
    groups: list[list[float]] = []
    for place in places:
        groups.append([place])
        while len(groups) > 1 and _low(groups[-1], least) < _low(groups[-2], least) + least * len(groups[-2]):
            groups[-2:] = [groups[-2] + groups[-1]]
    return [_low(group, least) + least * number for group in groups for number in range(len(group))]


def _low(group: list[float], least: float) -> float:
    return sum(group) / len(group) - least * (len(group) - 1) / 2
