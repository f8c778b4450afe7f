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
from holdwright.geometry.mesh.boolean import simplified
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim, ScrewHole
from holdwright.hold.hold import Hold
from holdwright.render.contour import CutPlane
from holdwright.render.picture import Pictures, View
from holdwright.render.tones import ACCENT, FAINT, stone
from holdwright.sheet.marks import (
    SMALL,
    Area,
    Image,
    Line,
    Mark,
    Words,
    cut_line,
    dimension,
    helping_lines,
    ordinates,
)
from holdwright.sheet.view_places import LEVEL, ViewPlaces

DOTS: Final = 300.0 / 25.4
"""Pixels to a mm of paper."""
MOST_PIXELS: Final = 2400
MOST_TRIANGLES: Final = 80_000
"""A hold of more is drawn without its finest detail."""
FINEST: Final = 8000.0
"""Its share of the hold's extent: on 80 mm of paper a hundredth of a mm, where a dot has eight."""


@dataclass(frozen=True)
class HolePlace:
    """Where a hole comes out of the back."""

    mark: str
    """Letter of a bore, number of a wood screw."""
    x: float
    y: float
    """x, y: in the frame of the hold, mm."""
    screw: str
    """What goes into it."""
    diameter: float
    """Of the hole, mm."""


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
    stock: float
    """Depth of what is to be sanded off below the back, mm."""

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
        stock = hold.find(Rim)[-1].allowance if hold.find(Rim) else 0.0
        return cls(
            Pictures(_as_drawn(solids, low, high)),
            low,
            high,
            back,
            base,
            _hole_places(hold),
            seat,
            plane,
            stock,
        )

    @cached_property
    def size(self) -> Floats:
        """(3,) size of the box, mm."""
        return np.asarray(self.high - self.low)

    def from_edges(self, x: float, y: float) -> tuple[float, float]:
        """Give how far a place of the base is from its left and its lower edge, seen from behind, mm."""
        # From behind, the greatest x is the left edge.
        return float(self.base[1, 0]) - x, y - float(self.base[0, 1])

    def marks(self, places: ViewPlaces) -> list[Mark]:
        """Draw all views where they shall lie; on a machine that cannot draw, say so in their place."""
        scale = places.scale
        views = (
            self._front(*places.front, scale),
            self._side(*places.side, scale),
            self._back(*places.back, scale),
            self._section(*places.section, scale),
        )
        try:
            return [*chain.from_iterable(views), *self._note(places.width, scale)]
        except ExportError as error:
            lines = textwrap.wrap(str(error), max(round(places.width / SMALL * 1.6), 20))
            top = places.height - SMALL
            return [Words(0.0, top - 4.0 * n, line, anchor="start") for n, line in enumerate(lines)]

    def _note(self, width: float, scale: float) -> Iterator[Mark]:
        """Say to what scale the views are drawn, and what their colours mean."""
        ratio = f"1 : {1 / scale:.3g}" if scale < 1 else f"{scale:.3g} : 1"
        note = f"drawn {ratio}, figures in mm, true size"
        note += "; places of holes from the edges of the base" if self.holes else ""
        yield Words(width, 0.0, note, anchor="end", colour=FAINT)
        x = 0.0
        for name in self.pictures.names if len(self.pictures.names) > 1 else ():
            yield Area(((x, 0.0), (x + SMALL, 0.0), (x + SMALL, SMALL), (x, SMALL)), stone(name))
            yield Words(x + SMALL + 1.0, 0.0, name, anchor="start", colour=FAINT)
            x += 14.0

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
        yield from dimension(x, x + wide, y - LEVEL, _mm(self.size[0]))
        yield from helping_lines([x, x + wide], y - 0.8, y - LEVEL - 1.0)
        yield from dimension(y, y + high, x - 5.0, _mm(self.size[1]), upright=True)
        yield from helping_lines([y, y + high], x - 0.8, x - 6.0, upright=True)
        if self.seat is not None:
            cut = x + (self.cut.origin[0] - self.low[0]) * scale
            yield from cut_line(cut, y - 1.2, y + high + 1.2, "A")

    def _side(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        _, high, _ = (self.size * scale).tolist()
        yield self._picture(View("side"), x, y, scale)
        yield _title("Right side", x, y + high)
        wall = x + (self.high[2] - self.back) * scale
        yield from dimension(x, wall, y - LEVEL, _mm(self.high[2] - self.back))
        yield from helping_lines([x, wall], y - 0.8, y - LEVEL - 1.0)

    def _back(self, x: float, y: float, scale: float) -> Iterator[Mark]:
        _, high, _ = (self.size * scale).tolist()
        yield self._picture(View("back"), x, y, scale)
        yield _title("Back", x, y + high, "seen from behind")

        def at(place: Floats) -> tuple[float, float]:
            """Find a place in the picture, which is seen from behind."""
            return x + (self.high[0] - place[0]) * scale, y + (place[1] - self.low[1]) * scale

        corners = np.array([self.base[1, 0], self.base[0, 1]]), np.array([self.base[0, 0], self.base[1, 1]])
        places = [corners[0], *(np.array([each.x, each.y]) for each in self.holes), corners[1]]
        from_left = [(at(each)[0], _mm(self.from_edges(*each)[0])) for each in places]
        from_low = [(at(each)[1], _mm(self.from_edges(*each)[1])) for each in places]
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
        sand = f"stock {self.stock:g} mm" if self.stock else ""
        yield _title("Section A\N{EN DASH}A" if self.seat is not None else "Section", x, y + high, sand)
        wall = x + (self.high[2] - self.back) * scale
        yield Line((wall, y - 1.5, wall, y + high + 1.5), FAINT, 0.35)
        if self.seat is not None:
            yield from dimension(wall - self.seat * scale, wall, y - LEVEL, f"seat {_mm(self.seat)}")
            yield from helping_lines([wall - self.seat * scale, wall], y - 0.8, y - LEVEL - 1.0)


def bore_mark(number: int) -> str:
    """Give the letter of a bore, the first being 0."""
    return chr(ord("A") + number % 26)


def _hole_places(hold: Hold) -> tuple[HolePlace, ...]:
    """List the holes of a hold: bores by letters, wood screws by numbers."""
    bores = [
        HolePlace(bore_mark(number), each.x, each.y, each.screw, each.clearance_diameter)
        for number, each in enumerate(hold.find(Bore))
    ]
    screws = [
        HolePlace(str(number), each.x, each.y, each.screw, each.diameter)
        for number, each in enumerate(hold.find(ScrewHole), start=1)
    ]
    return (*bores, *screws)


def _as_drawn(solids: Mapping[str, Solid], low: Floats, high: Floats) -> dict[str, Solid]:
    """Leave out detail that is finer than a dot of the paper; drawing all of it takes twice the time."""
    if sum(solid.triangle_count for solid in solids.values()) <= MOST_TRIANGLES:
        return dict(solids)
    finest = float(np.linalg.norm(high - low)) / FINEST
    return {name: simplified(solid, finest) for name, solid in solids.items()}


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
