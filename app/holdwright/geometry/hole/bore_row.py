"""Where a row of bores goes on the base of a hold, and where any bore goes that leans."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import map_coordinates

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_places import BoreCriteria, worth
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.place_search import PlaceCriteria, best_places
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid

OFF = -1.0
"""Margin that stands for a place off the base."""


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
    x, y = next(best_places(criteria if len(offsets) == 1 else RowCriteria(criteria, offsets))).tolist()
    return x, y


@dataclass(frozen=True, eq=False)
class RowCriteria(PlaceCriteria):
    """Rates the middles of a row of bores by the least margin of all; `offsets` as of `best_middle`."""

    single: BoreCriteria
    offsets: Floats

    @property
    def apart(self) -> float:
        """A pocket."""
        return self.single.apart

    def over_grid(self) -> tuple[Floats, Floats, Floats]:
        """Rate every point of the grid.

        Raises
        ------
        GeometryError
            When the row has no room on the base.
        """
        least = self._least_margin()
        if not (least > OFF).any():
            span = float(np.linalg.norm(self.offsets[-1] - self.offsets[0]))
            raise GeometryError(
                f"Bolts over {span:g} mm in a row were requested, but the back has no room for them in that "
                "direction; lessen pitch or slot, turn the row, or bore fewer."
            )
        x, y = self.single.field.grid.places
        return x, y, np.where(least > OFF, self._rating(least, np.stack([x, y], axis=-1)), -np.inf)

    def refined(self, start: Floats, others: Floats) -> Floats:
        """Rate the middles round one of the grid exactly, and take the best."""
        del others
        shifts = np.arange(-2, 3) * self.single.field.grid.step / 4
        middles = start + np.stack(np.meshgrid(shifts, shifts), axis=-1).reshape(-1, 2)
        margins = self.single.margins((middles[:, None] + self.offsets).reshape(-1, 2))
        least = margins.reshape(len(middles), -1).min(axis=1)
        return np.asarray(middles[int(np.argmax(self._rating(least, middles)))])

    def _rating(self, least: Floats, middles: Floats) -> Floats:
        """Rate rows by their least margins as single places are rated by theirs."""
        field = self.single.field
        on_base = ~np.isnan(field.margin)
        centre = np.stack(field.grid.places, axis=-1)[on_base].mean(axis=0)
        reach = math.sqrt(float(on_base.sum()) * field.grid.step**2 / math.pi)
        return worth(least, np.linalg.norm(middles - centre, axis=-1) / reach)

    def _least_margin(self) -> Floats:
        """Give the least margin over a row round each grid point."""
        field = self.single.field
        rows, columns = np.indices(field.grid.shape)
        off = np.isnan(field.margin).astype(np.float64)
        margin = np.where(np.isnan(field.margin), OFF, field.margin)
        least = np.full(field.grid.shape, np.inf)
        for along, up in self.offsets / field.grid.step:
            at = np.stack([rows + up, columns + along])
            here = map_coordinates(margin, at, order=1, mode="constant", cval=OFF)
            beside = map_coordinates(off, at, order=1, mode="constant", cval=1.0) > 0.0
            least = np.minimum(least, np.where(beside, OFF, here))
        return least
