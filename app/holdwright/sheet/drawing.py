"""The drawing of a hold: front, side, back and section to one scale, with their dimensions."""

import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import Final

import numpy as np

from holdwright.errors import ExportError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import section
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim, ScrewHole
from holdwright.hold.hold import Hold
from holdwright.render.contour import CutPlane
from holdwright.render.picture import Pictures, View
from holdwright.render.tones import ACCENT, FAINT
from holdwright.sheet.marks import SMALL, Area, Image, Line, Mark, Words, dimension, helping_lines, ordinates

DOTS: Final = 300.0 / 25.4
"""Pixels to a mm of paper."""
MOST_PIXELS: Final = 2400

SCALES: Final = (
    *(20.0, 10.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.25, 1.0),
    *(1 / part for part in (1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0)),
    *(1 / part for part in (50.0, 75.0, 100.0, 200.0)),
)

_TITLE, _LEFT, _BELOW, _BACK_BELOW, _GAP = 5.5, 12.0, 7.5, 13.0, 9.0
"""Room for a view's title, for what stands to the left and below of views, and between them, mm."""


@dataclass(frozen=True)
class HolePlace:
    """Where a hole comes out of the back."""

    mark: str
    """Letter of a bore, number of a wood screw."""
    x: float
    y: float
    """x, y: in the frame of the hold, mm."""
    what: str
    """Kind and size of the hole."""


@dataclass(frozen=True, eq=False)
class HoldDrawing:
    """What is drawn of a hold, apart from the paper it is drawn on."""

    pictures: Pictures
    low: Floats
    high: Floats
    """low, high: (3,) corners of the box round its solids, mm."""
    back: float
    """Height of the finished back; stock to be sanded off lies below it."""
    base: Floats
    """(2, 2) least and greatest x and y of the base's outline, mm."""
    holes: tuple[HolePlace, ...]
    seat: float | None
    """Height of the first bore's seat above the back, mm; None without a bore."""
    cut: CutPlane
    """Of the section."""

    @classmethod
    def of(cls, hold: Hold, parts: Mapping[str, Solid] | None = None) -> "HoldDrawing":
        """Make a finished hold ready to be drawn; of other solids where `parts` says so."""
        solids = dict(parts or hold.solids)
        corners = np.array([solid.bounds for solid in solids.values()])
        low, high = corners[:, 0].min(axis=0), corners[:, 1].max(axis=0)
        back = 0.0 if hold.find(Rim) else float(low[2])
        bores = hold.find(Bore)
        middle, axis = (low + high) / 2, np.array([0.0, 0.0, 1.0])
        if bores:
            middle, axis = np.array([bores[0].x, bores[0].y, 0.0]), np.array(bores[0].axis)
        normal = np.array([1.0, 0.0, 0.0]) - axis[0] * axis
        plane = CutPlane(middle, normal / np.linalg.norm(normal))
        base, seat = _base(hold, solids, low, high), bores[0].seat_z if bores else None
        return cls(Pictures(solids), low, high, back, base, hole_places(hold), seat, plane)

    @cached_property
    def size(self) -> Floats:
        """(3,) size of the box, mm."""
        return np.asarray(self.high - self.low)

    def scale_in(self, width: float, height: float) -> float:
        """Give the largest of `SCALES` at which all views have room on so much paper."""
        wide, high, deep = self.size.tolist()
        across = (width - 2 * _LEFT - 2 * _GAP) / (wide + deep)
        along = (height - 2 * _TITLE - _BELOW - _BACK_BELOW - _GAP / 2) / (2 * high)
        most = min(across, along)
        return next((each for each in SCALES if each <= most), most)

    def marks(self, width: float, height: float) -> tuple[list[Mark], float]:
        """Draw all views into a block of paper, from its lower left corner, and say how high it came out.

        On a machine that cannot draw, a sentence says so in their place.
        """
        scale = self.scale_in(width, height)
        wide, high, deep = (self.size * scale).tolist()
        spare = max(width - 2 * _LEFT - wide - deep, 0.0) / 3
        left, right = _LEFT + spare, 2 * _LEFT + 2 * spare + wide
        low = _BACK_BELOW
        top = low + high + _TITLE + _BELOW + _GAP / 2
        rows = (
            self._front(left, top, scale),
            self._side(right, top, scale),
            self._back(left, low, scale),
            self._section(right, low, scale),
        )
        try:
            marks = [*chain.from_iterable(rows)]
        except ExportError as error:
            lines = textwrap.wrap(str(error), max(round(width / SMALL * 1.6), 20))[::-1]
            said = [Words(0.0, 4.0 * n, line, anchor="start") for n, line in enumerate(lines)]
            return [*said], 4.0 * len(lines)
        ratio = f"1 : {1 / scale:.3g}" if scale < 1 else f"{scale:.3g} : 1"
        note = f"drawn {ratio}; true size, mm"
        marks.append(Words(width, 0.0, note, anchor="end", colour=FAINT))
        return marks, top + high + _TITLE

    def _picture(self, view: View, x: float, y: float, scale: float) -> Image:
        """Draw a view so that what it shows begins at x and y on the paper."""
        wide, high = np.ptp(self.pictures.extent(view), axis=0) * scale
        margin = 0.6
        width, height = wide + 2 * margin, high + 2 * margin
        dots = min(DOTS, MOST_PIXELS / max(width, height))
        size = max(round(width * dots), 1), max(round(height * dots), 1)
        return Image(x - margin, y - margin, width, height, self.pictures.drawn(view, size, dots * scale))

    def _front(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        wide, high, _ = (self.size * scale).tolist()
        yield self._picture(View("front"), x, y, scale)
        yield _title("Front", x, y + high, "up on the wall \N{UPWARDS ARROW}")
        yield from dimension(x, x + wide, y - 6.0, _mm(self.size[0]))
        yield from helping_lines([x, x + wide], y - 0.8, y - 7.0)
        yield from dimension(y, y + high, x - 5.0, _mm(self.size[1]), upright=True)
        yield from helping_lines([y, y + high], x - 0.8, x - 6.0, upright=True)
        if self.seat is not None:
            cut = x + (self.cut.origin[0] - self.low[0]) * scale
            yield Line((cut, y - 1.5, cut, y + high + 1.5), ACCENT, 0.16, dashed=True)
            yield Words(cut + 0.8, y + high + 0.4, "A", SMALL, "start", ACCENT, bold=True)
            yield Words(cut + 0.8, y - 2.5, "A", SMALL, "start", ACCENT, bold=True)

    def _side(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        _, high, _ = (self.size * scale).tolist()
        yield self._picture(View("side"), x, y, scale)
        yield _title("Right side", x, y + high)
        wall = x + (self.high[2] - self.back) * scale
        yield from dimension(x, wall, y - 6.0, _mm(self.high[2] - self.back))
        yield from helping_lines([x, wall], y - 0.8, y - 7.0)

    def _back(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        _, high, _ = (self.size * scale).tolist()
        yield self._picture(View("back"), x, y, scale)
        yield _title("Back", x, y + high, "places from the edges of the base")

        def at(place: Floats) -> tuple[float, float]:
            """Find a place in the picture, which is seen from behind."""
            return x + (self.high[0] - place[0]) * scale, y + (place[1] - self.low[1]) * scale

        # From behind, the greatest x is the left edge.
        zero, end = np.array([self.base[1, 0], self.base[0, 1]]), np.array([self.base[0, 0], self.base[1, 1]])
        places = [zero, *(np.array([each.x, each.y]) for each in self.holes), end]
        from_left = [(at(each)[0], _mm(zero[0] - each[0])) for each in places]
        from_low = [(at(each)[1], _mm(each[1] - zero[1])) for each in places]
        yield from ordinates(_distinct(from_left), y - 0.8, y - 4.0)
        yield from ordinates(_distinct(from_low), x - 0.8, x - 4.0, upright=True)
        for hole in self.holes:
            across, up = at(np.array([hole.x, hole.y]))
            for arm in ((1.6, 0.0), (0.0, 1.6)):
                yield Line((across - arm[0], up - arm[1], across + arm[0], up + arm[1]), ACCENT, 0.2)
            low, wide = up + 1.1, 1.0 + 1.4 * len(hole.mark)
            ground = ((across + 1.1, low), (across + 1.1 + wide, low))
            yield Area((*ground, *((x, low + 3.0) for x, _ in ground[::-1])), "#FFFFFF")
            yield Words(across + 1.1 + wide / 2, low + 0.5, hole.mark, SMALL, colour=ACCENT, bold=True)

    def _section(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        _, high, _ = (self.size * scale).tolist()
        view = View("side", self.cut)
        yield self._picture(view, x, y, scale)
        yield _title("Section A\N{EN DASH}A" if self.seat is not None else "Section", x, y + high)
        wall = x + (self.high[2] - self.back) * scale
        yield Line((wall, y - 1.5, wall, y + high + 1.5), FAINT, 0.5)
        if self.seat is not None:
            yield from dimension(wall - self.seat * scale, wall, y - 6.0, f"seat {_mm(self.seat)}")
            yield from helping_lines([wall - self.seat * scale, wall], y - 0.8, y - 7.0)


def hole_places(hold: Hold) -> tuple[HolePlace, ...]:
    """List the holes of a hold: bores by letters, wood screws by numbers."""
    bores = [
        HolePlace(chr(ord("A") + number % 26), each.x, each.y, f"bolt, hole {each.clearance_diameter:g} mm")
        for number, each in enumerate(hold.find(Bore))
    ]
    screws = [
        HolePlace(str(number), each.x, each.y, f"wood screw, hole {each.diameter:g} mm")
        for number, each in enumerate(hold.find(ScrewHole), start=1)
    ]
    return (*bores, *screws)


def _base(hold: Hold, solids: Mapping[str, Solid], low: Floats, high: Floats) -> Floats:
    """Give (2, 2) least and greatest x and y just above the back; of the hold where it has no base."""
    if hold.find(Rim):
        height = hold.find(Rim)[-1].chamfer + 0.05
        points = [outline for solid in solids.values() for outline in section(solid, height)]
        if points:
            joined = np.concatenate(points)
            return np.array([joined.min(axis=0), joined.max(axis=0)])
    return np.array([low[:2], high[:2]])


def _distinct(places: list[tuple[float, str]]) -> list[tuple[float, str]]:
    """Leave out figures that stand there already."""
    return list({text: (place, text) for place, text in places}.values())


def _title(text: str, x: float, y: float, more: str = "") -> Words:
    return Words(x, y + 3.2, f"{text}{', ' * bool(more)}{more}", 2.2, "start")


def _mm(length: float) -> str:
    return f"{length:.1f}"
