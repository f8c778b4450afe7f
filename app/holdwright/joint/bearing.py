"""What presses on the seat under a bolt's head."""

import math

from holdwright.catalogue.fasteners import Screw, Washer


def ring_area(outer: float, inner: float) -> float:
    """Area of a ring between two diameters, mm2."""
    return math.pi / 4.0 * (outer * outer - inner * inner)


def seat_area(screw: Screw, washer: Washer | None, clearance: float) -> float:
    """Area that carries a head or its washer, mm2; zero or less where nothing does.

    Parameters
    ----------
    screw, washer
        What presses on the seat. A countersunk head counts as projected on the wall.
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
