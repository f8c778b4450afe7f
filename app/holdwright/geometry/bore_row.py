"""Where a row of bores goes on the base of a hold, and where any bore goes that leans."""

import math

import numpy as np
from scipy.ndimage import map_coordinates

from holdwright.errors import GeometryError
from holdwright.geometry.frame import placement
from holdwright.geometry.place import LIP, PULL, SHORT, PlaceField, best_places, place_field
from holdwright.geometry.place_figures import Wanted
from holdwright.geometry.sculpt import Floats
from holdwright.geometry.solid import Solid

OFF = -1.0
"""Margin that stands for a place off the base."""


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


def best_middle(solid: Solid, wanted: Wanted, offsets: Floats) -> tuple[float, float]:
    """Find the middle of a row of bores: where the least margin of them all is greatest.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm; the axes upright.
    wanted
        Of each bore alike.
    offsets
        (n, 2) places of the bores from the middle, mm.

    Returns
    -------
    tuple
        A single bore's place is found to a sixteenth of the search's grid step (1 mm, or a little more on
        large holds), the middle of several to half of it.

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
    least, lips = _least_margin(field, offsets)
    if not (least > OFF).any():
        span = float(np.linalg.norm(offsets[-1] - offsets[0]))
        raise GeometryError(
            f"{len(offsets)} bores over {span:g} mm were asked for, but the back has no room for them in "
            "that direction; lessen the pitch, turn the row, or bore fewer."
        )
    x, y = grid.places
    reach = math.sqrt(float(on_base.sum()) * grid.step**2 / math.pi)
    pull = PULL * np.hypot(x - x[on_base].mean(), y - y[on_base].mean()) / reach
    worth = SHORT * np.minimum(least - 1.0, 0.0) + np.log(np.maximum(least, 1.0)) - LIP * lips - pull
    best_cell = int(np.argmax(np.where(least > OFF, worth, -np.inf)))
    return float(x.flat[best_cell]), float(y.flat[best_cell])


def _least_margin(field: PlaceField, offsets: Floats) -> tuple[Floats, Floats]:
    """Give the least margin over a row round each grid point, and whether one of its pockets cuts a lip."""
    grid = field.grid
    rows, columns = np.indices(grid.shape)
    off = np.isnan(field.margin).astype(np.float64)
    margin = np.where(np.isnan(field.margin), OFF, field.margin)
    least, lips = np.full(grid.shape, np.inf), np.zeros(grid.shape)
    for along, up in offsets / grid.step:
        at = np.stack([rows + up, columns + along])
        here = map_coordinates(margin, at, order=1, mode="constant", cval=OFF)
        beside = map_coordinates(off, at, order=1, mode="constant", cval=1.0) > 0.0
        least = np.minimum(least, np.where(beside, OFF, here))
        lips = np.maximum(lips, map_coordinates(field.cuts_lip.astype(np.float64), at, order=1) > 0.0)
    return least, lips
