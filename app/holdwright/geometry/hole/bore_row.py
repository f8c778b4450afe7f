"""Where a row of bores goes on the base of a hold, and where any bore goes that leans."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import map_coordinates

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_search import (
    PlaceField,
    best_places,
    margins_at,
    place_field,
    worth,
)
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid

OFF = -1.0
"""Margin that stands for a place off the base."""
APART = 4.0
"""Places along a slot that are looked at are at most so far apart, mm."""


def row_offsets(count: int, pitch: float, toward: float) -> Floats:
    """Give the places (count, 2) of a row of bores from its middle, mm.

    Parameters
    ----------
    pitch
        Distance from one to the next, mm.
    toward
        Direction of the row on the wall, degrees: 0 to the right (+x), 90 up (+y).
    """
    way = np.array([math.cos(math.radians(toward)), math.sin(math.radians(toward))])
    return np.asarray(np.outer(np.arange(count) - (count - 1) / 2, pitch * way))


def upright_likeness(solid: Solid, axis: tuple[float, float, float]) -> Solid:
    """Shear a solid so that a leaning axis stands upright: its back stays, and so do its level sections.

    The search for a place sees it so. A bore's own level sections are ellipses, at 15 degrees 3.5 % longer
    than wide, and lengths along the axis as much longer than heights: what is found is measured afterwards as
    it is.
    """
    if axis == (0.0, 0.0, 1.0):
        return solid
    linear = np.eye(3)
    linear[:2, 2] = -np.array(axis[:2]) / axis[2]
    return solid.moved(placement(linear))


def stands(offsets: Floats, half_slots: Floats) -> Floats:
    """Give the places (k, 2) where a bolt may stand in bores and their slots, from the middle of the row.

    Parameters
    ----------
    offsets, half_slots
        (n, 2) of each bore, and from its middle to one end of its slot, mm.
    """
    found = []
    for offset, half in zip(offsets, half_slots, strict=True):
        count = 2 * math.ceil(float(np.linalg.norm(half)) / APART) + 1
        found.append(offset + np.outer(np.linspace(-1.0, 1.0, count) if count > 1 else [0.0], half))
    return np.concatenate(found)


def best_middle(solid: Solid, wanted: Wanted, offsets: Floats) -> tuple[float, float]:
    """Find the middle of a row of bores: where the least margin of them all is greatest.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm; the axes upright.
    wanted
        Of each bore alike.
    offsets
        (n, 2) places from the middle where a bolt may stand, mm.

    Returns
    -------
    tuple
        A single bore's place is found to a sixteenth of the search's grid step (1 mm, or a little more on
        large holds), the middle of several to a quarter of it.

    Raises
    ------
    GeometryError
        When the hold has no base on z = 0, or the row has no room on it.
    """
    if len(offsets) == 1:
        best = best_places(solid, wanted, count=1)[0]
        return best.x, best.y
    field = place_field(solid, wanted)
    grid, on_base = field.grid, ~np.isnan(field.margin)
    least = _least_margin(field, offsets)
    if not (least > OFF).any():
        span = float(np.linalg.norm(offsets[-1] - offsets[0]))
        raise GeometryError(
            f"Bolts over {span:g} mm in a row were requested, but the back has no room for them in that "
            "direction; lessen pitch or slot, turn the row, or bore fewer."
        )
    x, y = grid.places
    base = _Base(np.array([x[on_base].mean(), y[on_base].mean()]), float(on_base.sum()) * grid.step**2)
    worth = base.worth(least, np.stack([x, y], axis=-1))
    cell = int(np.argmax(np.where(least > OFF, worth, -np.inf)))
    start = np.array([x.reshape(-1)[cell], y.reshape(-1)[cell]])
    return _refined(solid, wanted, offsets, base, start, grid.step)


@dataclass(frozen=True, eq=False)
class _Base:
    """The back: its centre (2,), mm, and its area, mm2."""

    centre: Floats
    area: float

    def worth(self, least: Floats, middles: Floats) -> Floats:
        """Judge rows by their least margins as single places are judged by theirs."""
        far = np.linalg.norm(middles - self.centre, axis=-1) / math.sqrt(self.area / math.pi)
        return worth(least, far)


def _refined(
    solid: Solid, wanted: Wanted, offsets: Floats, base: _Base, start: Floats, step: float
) -> tuple[float, float]:
    """Judge the middles round one of the grid exactly, and take the best."""
    shifts = np.arange(-2, 3) * step / 4
    middles = start + np.stack(np.meshgrid(shifts, shifts), axis=-1).reshape(-1, 2)
    places = (middles[:, None] + offsets).reshape(-1, 2)
    judged = margins_at(solid, wanted, [(float(x), float(y)) for x, y in places])
    least = np.asarray(np.reshape([place.margin for place in judged], (len(middles), -1)).min(axis=1))
    best = middles[int(np.argmax(base.worth(least, middles)))]
    return float(best[0]), float(best[1])


def _least_margin(field: PlaceField, offsets: Floats) -> Floats:
    """Give the least margin over a row round each grid point."""
    grid = field.grid
    rows, columns = np.indices(grid.shape)
    off = np.isnan(field.margin).astype(np.float64)
    margin = np.where(np.isnan(field.margin), OFF, field.margin)
    least = np.full(grid.shape, np.inf)
    for along, up in offsets / grid.step:
        at = np.stack([rows + up, columns + along])
        here = map_coordinates(margin, at, order=1, mode="constant", cval=OFF)
        beside = map_coordinates(off, at, order=1, mode="constant", cval=1.0) > 0.0
        least = np.minimum(least, np.where(beside, OFF, here))
    return least
