"""Where the views of a hold lie on paper, all to one scale."""

from dataclasses import dataclass
from typing import Final

from holdwright.geometry.arrays import Floats

SCALES: Final = (
    *(20.0, 10.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.25, 1.0),
    *(1 / part for part in (1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.5, 10.0, 12.5, 15.0)),
    *(1 / part for part in (20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0, 200.0)),
)

LEVEL: Final = 7.0
"""How far below its view a dimension line lies, mm."""

_TITLE, _LEFT, _BELOW, _BACK_BELOW, _GAP, _NOTE = 6.0, 12.0, 10.0, 12.0, 9.0, 5.0
"""Room for a view's title, for what stands to the left and below of views, between them, and for the line
under all of them, mm."""
_TITLE_WIDE, _LAST_WIDE = 38.0, 33.0
"""Width of the longest title of a view, and of the section, mm."""


@dataclass(frozen=True)
class FreeCorner:
    """What views leave free at the lower right, mm."""

    x: float
    width: float
    height: float
    """x, width, height: its left edge, and its size; it ends above the line under all views."""


@dataclass(frozen=True)
class ViewPlaces:
    """Lower left corner of each view, x to the right and y up, mm."""

    scale: float
    """mm on the paper to a mm."""
    front: tuple[float, float]
    side: tuple[float, float]
    back: tuple[float, float]
    section: tuple[float, float]
    back_high: float
    """Height of the back's view with its title, mm."""
    width: float
    height: float
    """width, height: of the block that all views take, mm."""
    corner: FreeCorner | None = None
    """None where the section lies there."""

    @classmethod
    def of(cls, size: Floats, width: float, height: float, corner: float | None = 0.0) -> "ViewPlaces":
        """Place the views of a hold of a (3,) size in a block of paper so that they come out largest.

        The section lies right of the side view, or below it where that gives a larger scale.

        Parameters
        ----------
        corner
            Least width of the corner that is left free, mm; 0 where none need be, None where none shall be.
        """
        ways = (1,) if corner is None else (2,) if corner else (2, 1)
        scales = {columns: _scale(size, width, height, columns, corner or 0.0) for columns in ways}
        columns = max(ways, key=lambda each: scales[each])
        return cls._with(size, width, scales[columns], columns)

    @classmethod
    def _with(cls, size: Floats, width: float, scale: float, columns: int) -> "ViewPlaces":
        """Place views with so many columns right of the front."""
        high = float(size[1]) * scale
        front, other = _steps(size, scale)
        spare = max(width - _taken(size, scale, columns), 0.0) / (columns + 1)
        side = _LEFT + front + spare
        last = side + (other + spare) * (columns - 1)
        low = _NOTE + _BACK_BELOW
        top = low + high + _TITLE + _BELOW
        free = FreeCorner(_LEFT + front, width - _LEFT - front, low + high + _TITLE - _NOTE - 1.0)
        return cls(
            scale=scale,
            front=(_LEFT, top),
            side=(side, top),
            back=(_LEFT, low),
            section=(last, top if columns == 2 else low),
            back_high=high + _TITLE,
            width=width,
            height=top + high + _TITLE,
            corner=free if columns == 2 else None,
        )


def _steps(size: Floats, scale: float) -> tuple[float, float]:
    """Give how far apart views begin, from the front and from another: their titles do not meet."""
    wide, _, deep = (float(each) * scale for each in size)
    return max(wide + _GAP, _TITLE_WIDE), max(deep + _GAP, _TITLE_WIDE)


def _taken(size: Floats, scale: float, columns: int) -> float:
    front, other = _steps(size, scale)
    return _LEFT + front + other * (columns - 1) + max(float(size[2]) * scale, _LAST_WIDE)


def _scale(size: Floats, width: float, height: float, columns: int, corner: float) -> float:
    """Give the largest of `SCALES` at which all views have room, so many columns right of the front."""
    wide, high, deep = (float(each) for each in size)
    along = (height - 2 * _TITLE - _BELOW - _BACK_BELOW - _NOTE) / (2 * high)
    for scale in SCALES:
        room = width - max(_taken(size, scale, columns), _LEFT + _steps(size, scale)[0] + corner)
        if scale <= along and room >= 0.0:
            return scale
    return max(min(along, (width - _LEFT - (1 + columns) * _GAP) / (wide + columns * deep)), 1e-6)
