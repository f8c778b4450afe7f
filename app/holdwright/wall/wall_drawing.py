"""A wall drawn to scale: panels, T-nuts with their names, and the holds with their numbers."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from holdwright.geometry.arrays import Floats
from holdwright.render.tones import ACCENT, FAINT, INK, SHELL, mixed
from holdwright.sheet.marks import SMALL, Area, Line, Mark, Words, dimension
from holdwright.wall.hung import Hung
from holdwright.wall.t_nut_grid import letters, seams, t_nuts
from holdwright.wall.wall_file import ClimbingWall

SCALES: Final = (5, 10, 20, 25, 50, 100)
"""Of a drawing, 1 to so many: those of ISO 5455, and 25."""

EDGE: Final = 14.0
"""Room round the wall for dimensions and names, mm on the paper."""

_STONE: Final = mixed(SHELL, "#FFFFFF", 0.55)


def scale_for(wall: ClimbingWall, width: float, height: float) -> int:
    """Give the scale at which a wall has room on so much paper, mm; the smallest if none."""
    across, up = _size(wall)
    fits = (each for each in SCALES if across / each + 2 * EDGE <= width and up / each + 2 * EDGE <= height)
    return next(fits, SCALES[-1])


def wall_marks(wall: ClimbingWall, holds: Sequence[Hung], scale: int) -> tuple[list[Mark], float, float]:
    """Draw a wall; give the marks, and width and height of the drawing in mm on the paper."""
    across, up = (side / scale for side in _size(wall))
    marks = [*_panels(wall, scale), *_holds(holds, scale), *_t_nuts(wall, scale)]
    for one in holds:
        x, y = (EDGE + each / scale for each in one.at)
        marks.append(Words(x + 1.6, y + 0.8, str(one.number), 2.6, "start", INK, bold=True))
    marks += dimension(EDGE, EDGE + across, 4.0, f"{across * scale:.0f}")
    marks += dimension(EDGE, EDGE + up, 4.0, f"{up * scale:.0f}", upright=True)
    return marks, across + 2 * EDGE, up + 2 * EDGE


def _size(wall: ClimbingWall) -> tuple[float, float]:
    return wall.panels.columns * wall.panels.width, wall.panels.rows * wall.panels.height


def _panels(wall: ClimbingWall, scale: int) -> Iterator[Mark]:
    upright, level = (([EDGE + each / scale for each in lines]) for lines in seams(wall))
    for x in upright:
        yield Line((x, level[0], x, level[-1]), FAINT, 0.25)
    for y in level:
        yield Line((upright[0], y, upright[-1], y), FAINT, 0.25)


def _t_nuts(wall: ClimbingWall, scale: int) -> Iterator[Mark]:
    """Draw a cross at every T-nut, columns named below and rows at the left."""
    places = t_nuts(wall)
    arm = max(5.0 / scale, 0.5)
    named: set[str] = set()
    for name, place in places.items():
        x, y = (EDGE + each / scale for each in place)
        yield Line((x - arm, y, x + arm, y), FAINT, 0.15)
        yield Line((x, y - arm, x, y + arm), FAINT, 0.15)
        column = name.rstrip("0123456789")
        row = name[len(column) :]
        if row == "1" or column not in named:
            named.add(column)
            yield Words(x, EDGE - 3.4, column, SMALL, "middle", FAINT)
        if column == letters(1):
            yield Words(EDGE - 1.6, y - SMALL / 2, row, SMALL, "end", FAINT)


def _holds(holds: Sequence[Hung], scale: int) -> Iterator[Mark]:
    for one in holds:
        yield Area(_on_paper(one.outline, scale), _STONE)
        corners = _on_paper(one.outline, scale)
        for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
            yield Line((*start, *end), SHELL, 0.2)
        for x, y in _on_paper(one.screws, scale):
            yield Line((x - 0.7, y - 0.7, x + 0.7, y + 0.7), ACCENT, 0.2)
            yield Line((x - 0.7, y + 0.7, x + 0.7, y - 0.7), ACCENT, 0.2)
        yield from _way_up(one, scale)


def _way_up(one: Hung, scale: int) -> Iterator[Mark]:
    """Draw a short line from the bolt to where the sculpt's up points."""
    (x, y), angle = (EDGE + one.at[0] / scale, EDGE + one.at[1] / scale), math.radians(one.turn + 90.0)
    yield Line((x, y, x + 4.0 * math.cos(angle), y + 4.0 * math.sin(angle)), ACCENT, 0.25)


def _on_paper(points: Floats, scale: int) -> tuple[tuple[float, float], ...]:
    return tuple((EDGE + float(x) / scale, EDGE + float(y) / scale) for x, y in points)
