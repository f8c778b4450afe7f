"""Letters cut into the back of a hold: where they have room, how fine they are, and the cut."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, Manifold

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.columns import Grid
from holdwright.geometry.measure.sections import Outlines, inside
from holdwright.geometry.mesh.boolean import subtract
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import drawn_out, mouths

_STEP: Final = 0.5
"""Spacing of the places tried, mm."""
_FINE: Final = 0.02
"""How finely the width of strokes is told, mm."""
_BEYOND: Final = 1.0
"""How far the cutter reaches below the hold, mm."""
_ARROW: Final = np.array(
    [(0, 0), (0.3, 0), (0.3, 0.9), (0.6, 0.9), (0, 1.6), (-0.6, 0.9), (-0.3, 0.9), (-0.3, 0)]
)
"""An arrow that points up, as wide as a capital and a little higher than one."""
_LEADING: Final = 1.6
"""From line to line, in heights of a capital."""


@dataclass(frozen=True, eq=False)
class Lettering:
    """Text as outlines, as read by who looks at the back."""

    outlines: Outlines
    """Closed outlines (n, 2) about the middle, mm; they may overlap, inner ones run the other way."""

    @property
    def size(self) -> Floats:
        """Width and height (2,), mm."""
        points = np.concatenate(self.outlines)
        return np.asarray(points.max(axis=0) - points.min(axis=0))

    def placed(self, place: Floats) -> CrossSection:
        """Lay it with its middle on a place (2,) of the back, seen from the hold's side: mirrored."""
        shape = CrossSection([each.copy() for each in self.outlines], FillRule.NonZero)
        return shape.mirror((1.0, 0.0)).translate((float(place[0]), float(place[1])))


def set_lines(lines: Sequence[Outlines], height: float, *, arrow: bool) -> Lettering:
    """Set lines of text one below the other, with an arrow up beside them when asked.

    Parameters
    ----------
    lines
        Outlines of each, capitals 1 high.
    height
        Of a capital, mm.
    """
    block: Outlines = []
    for number, line in enumerate(lines):
        points = np.concatenate(line)
        middle = (points[:, 0].min() + points[:, 0].max()) / 2.0
        block += [each - (middle, number * _LEADING) for each in line]
    if arrow:
        points = np.concatenate(block) if block else np.zeros((1, 2))
        low, high = points.min(axis=0), points.max(axis=0)
        tall = max(1.0, float(high[1] - low[1]) / float(_ARROW[:, 1].max()))
        away = low[0] - (1.4 if block else 0.0)
        block.append(_ARROW * (1.0, tall) + (away, low[1]))
    points = np.concatenate(block)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2.0
    return Lettering([(each - middle) * height for each in block])


class FreeBack:
    """Where on a back letters may stand.

    Parameters
    ----------
    outlines
        Closed outlines (n, 2) of the back or of the pocket in it, mm, holes clockwise.
    holes
        Bores and screws; they and their seats are kept clear of.
    margin
        Clear width to every outline and hole, mm.
    """

    def __init__(self, outlines: Outlines, holes: Sequence[Hole], margin: float) -> None:
        free = drawn_out(CrossSection([each.copy() for each in outlines], FillRule.NonZero), -margin)
        for hole in holes:
            free -= mouths([hole], hole.seat, hole.pocket_radius - hole.hole_radius + margin)
        self.outlines = [np.asarray(each, dtype=np.float64) for each in free.to_polygons()]
        if self.outlines:
            points = np.concatenate(self.outlines)
            self._grid = Grid.over(points.min(axis=0), points.max(axis=0), _STEP)
            self._sums = self._counted()

    def place(self, size: Floats) -> Floats | None:
        """Find the place (2,) nearest to the middle of the room for a block (2,) mm; None where none fits."""
        if not self.outlines:
            return None
        cells = np.ceil(size / _STEP).astype(int) + 1
        rows, columns = self._sums.shape[0] - 1, self._sums.shape[1] - 1
        wide, tall = int(cells[0]), int(cells[1])
        if tall > rows or wide > columns:
            return None
        sums = self._sums
        filled = sums[tall:, wide:] - sums[:-tall, wide:] - sums[tall:, :-wide] + sums[:-tall, :-wide]
        row, column = np.nonzero(filled == wide * tall)
        if not len(row):
            return None
        x, y = self._grid.places
        corners = np.column_stack([x[row, column], y[row, column]])
        middles = corners + (np.array([wide, tall]) - 1) * _STEP / 2.0
        return np.asarray(middles[np.argmin(np.hypot(*(middles - self.middle).T))])

    def has(self, size: Floats, place: Floats) -> bool:
        """Tell whether a block (2,) mm fits with its middle on a place (2,)."""
        if not self.outlines:
            return False
        block = CrossSection.square(tuple(size), center=True).translate(tuple(place))
        beyond = (block - CrossSection(self.outlines, FillRule.NonZero)).area()
        return bool(beyond < 1e-6 * float(np.prod(size)))

    @property
    def middle(self) -> Floats:
        """Middle (2,) of the box round the room."""
        points = np.concatenate(self.outlines)
        return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)

    def _counted(self) -> Floats:
        """Give how many places are free before each row and column."""
        x, y = self._grid.places
        free: Mask = inside(np.column_stack([x.ravel(), y.ravel()]), self.outlines).reshape(x.shape)
        return np.pad(free.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))


def least_stroke(lettering: Lettering) -> float:
    """Give the width of the narrowest stroke, mm: drawn in by half of it, a letter falls apart or is gone."""
    shape = CrossSection([each.copy() for each in lettering.outlines], FillRule.NonZero)
    whole = len(shape.decompose())
    low, high = 0.0, float(lettering.size.min())
    while high - low > _FINE:
        middle = (low + high) / 2.0
        within = shape.offset(-middle / 2.0, JoinType.Miter)
        if not within.is_empty() and len(within.decompose()) == whole:
            low = middle
        else:
            high = middle
    return low


def engrave(solid: Solid, shape: CrossSection, top: float) -> Solid:
    """Cut a shape into a solid from below up to the height `top`, through any stock."""
    low = float(solid.bounds[0, 2]) - _BEYOND
    cutter = Manifold.extrude(shape, top - low).translate((0.0, 0.0, low))
    return subtract(solid, [Solid.checked(cutter, "the letters")], "the hold with its back engraved")
