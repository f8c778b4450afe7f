"""What presses on the seat under a bolt's head, and how much of the seat there is to carry it."""

import math
from dataclasses import dataclass

import numpy as np

from holdwright.catalogue.fasteners import Screw, Washer
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import section
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.joint.outline import inside

UNDER = 0.05
"""Depth below the seat at which material is looked for, mm."""

_STEP, _TURNS = 0.25, 180


def ring_area(outer: float, inner: float) -> float:
    """Area of a ring between two diameters, mm2."""
    return math.pi / 4.0 * (outer * outer - inner * inner)


def seat_area(screw: Screw, washer: Washer | None, clearance: float) -> float:
    """Area that carries a head or its washer, mm2; zero or less where nothing does.

    Parameters
    ----------
    screw, washer
        What presses on the seat. A countersunk head counts as projected on the wall, up to its real rim:
        its theoretical sharp edge is not there.
    clearance
        Diameter of the hole, mm. A washer with a wider hole carries from that on.

    Notes
    -----
    The pressure is the mean over the whole ring: a washer bends a little, so that it presses harder near the
    head than at its edge.
    """
    if washer is not None:
        return ring_area(washer.outer, max(clearance, washer.hole))
    return ring_area(screw.head.bearing, clearance)


def pressing_diameter(screw: Screw, washer: Washer | None) -> float:
    """Outer diameter of what presses on the seat, mm."""
    return washer.outer if washer is not None else screw.head.bearing


def sunk_head_height(screw: Screw, clearance: float) -> float:
    """Height in mm of a countersunk head's top above where its cone meets the hole; 0 for another head."""
    if screw.head.angle is None:
        return 0.0
    return (screw.head.diameter - clearance) / 2.0 / math.tan(math.radians(screw.head.angle / 2.0))


def spreading_force(screw: Screw, force: float) -> float:
    """Tension in N round the hole with which a countersunk head spreads its cone; 0 for another head.

    A ring pressed outward by the force spread over its cone, without friction: F / (2 pi tan(angle / 2)).
    """
    if screw.head.angle is None:
        return 0.0
    return force / (2.0 * math.pi * math.tan(math.radians(screw.head.angle / 2.0)))


@dataclass(frozen=True, eq=False)
class SeatCover:
    """Share of each circle round a bore's axis that lies on material."""

    radii: Floats
    cover: Floats
    """radii, cover: (n,) radii in mm, evenly apart, and the share of each, 0 to 1."""
    pocket_depth: float = 0.0
    """From the seat to the highest point of the pocket's mouth, mm."""

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
    cover = inside(places, outlines).reshape(len(radii), _TURNS).mean(axis=1)
    return SeatCover(radii, cover, _pocket_depth(solid, bore))


def _pocket_depth(solid: Solid, bore: Bore) -> float:
    """Find the pocket's mouth: the highest corners on its wall, which cutting it left there."""
    away, height = bore.hole.seen_from(solid.vertices)
    on_wall = height[away <= bore.pocket_diameter / 2.0 + UNDER]
    return max(float(on_wall.max(initial=0.0)) - bore.seat, 0.0)
