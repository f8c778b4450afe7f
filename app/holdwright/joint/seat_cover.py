"""How much of a bolt's seat there is: where a pocket breaks out, nothing carries the washer."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import section
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.joint.outline import inside

UNDER = 0.05
"""Depth below the seat at which material is looked for, mm."""

_STEP, _TURNS = 0.25, 180


@dataclass(frozen=True, eq=False)
class SeatCover:
    """Share of each circle round a bore's axis that lies on material."""

    radii: Floats
    cover: Floats
    """radii, cover: (n,) radii in mm, evenly apart, and the share of each, 0 to 1."""

    def share(self, outer: float, inner: float) -> float:
        """Share of the ring between two diameters (mm) that lies on material."""
        ring = (self.radii > inner / 2) & (self.radii < outer / 2)
        if not ring.any():
            return 1.0
        return float(self.radii[ring] @ self.cover[ring] / self.radii[ring].sum())


def seat_cover(solid: Solid, bore: Bore) -> SeatCover:
    """Look for material under a bore's seat, from its clearance hole to the edge of its pocket."""
    hole = bore.hole
    upright = solid if hole.upright else solid.moved(hole.frame)
    middle = np.array([hole.x, hole.y]) if hole.upright else np.zeros(2)
    outlines = [outline - middle for outline in section(upright, bore.seat_z - UNDER)]
    radii = np.arange(bore.clearance_diameter / 2 + _STEP / 2, bore.pocket_diameter / 2, _STEP)
    turns = np.arange(_TURNS) * (2 * np.pi / _TURNS)
    spokes = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    places = (radii[:, None, None] * spokes).reshape(-1, 2)
    return SeatCover(radii, inside(places, outlines).reshape(len(radii), _TURNS).mean(axis=1))
