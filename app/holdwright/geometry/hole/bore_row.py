"""Where a row of bores goes on the base of a hold, and where any bore goes that leans."""

import math

import numpy as np
from scipy.ndimage import map_coordinates

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_places import BoreCriteria, PlaceField, worth
from holdwright.geometry.hole.place_figures import BoreRequirements
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


def sheared_upright(solid: Solid, axis: tuple[float, float, float]) -> Solid:
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


def best_middle(solid: Solid, bore: BoreRequirements, offsets: Floats) -> tuple[float, float]:
    """Find the middle of a row of bores: where the least margin of them all is greatest.

    Parameters
    ----------
    solid
        The hold, finished back on z = 0, mm; the axes upright.
    bore
        What is required of each bore alike.
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
    criteria = BoreCriteria.of(solid, bore)
    if len(offsets) == 1:
        best = criteria.best(count=1)[0]
        return best.x, best.y
    field = criteria.field
    grid, least = field.grid, _least_margin(field, offsets)
    if not (least > OFF).any():
        span = float(np.linalg.norm(offsets[-1] - offsets[0]))
        raise GeometryError(
            f"Bolts over {span:g} mm in a row were requested, but the back has no room for them in that "
            "direction; lessen pitch or slot, turn the row, or bore fewer."
        )
    places, on_base = np.stack(grid.places, axis=-1), ~np.isnan(field.margin)
    centre = places[on_base].mean(axis=0)
    reach = math.sqrt(float(on_base.sum()) * grid.step**2 / math.pi)

    def rating(least: Floats, middles: Floats) -> Floats:
        return worth(least, np.linalg.norm(middles - centre, axis=-1) / reach)

    start = places[
        np.unravel_index(np.argmax(np.where(least > OFF, rating(least, places), -np.inf)), least.shape)
    ]
    # The middles round that of the grid are rated exactly, as single places are.
    shifts = np.arange(-2, 3) * grid.step / 4
    middles = start + np.stack(np.meshgrid(shifts, shifts), axis=-1).reshape(-1, 2)
    margins = criteria.margins((middles[:, None] + offsets).reshape(-1, 2))
    best = middles[int(np.argmax(rating(margins.reshape(len(middles), -1).min(axis=1), middles)))]
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
