"""Wood screws that stop a hold from turning: what one carries across, and how many are needed.

All formulas and constants here are from memory of EN 1995-1-1 (Eurocode 5), sections 8.2 and 8.3; none is a
design to it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from holdwright.catalogue.anchorage import Panel, WoodScrew
from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.hold.feature import ScrewHole

SCREW_STRENGTH = 400.0
"""Tensile strength of a plain wood screw's steel, MPa (from memory; hardened ones have more, and break)."""

PARTIAL = 1.3
"""Strengths are divided by this (EN 1995-1-1, table 2.3, connections)."""


def shear_capacity(screw: WoodScrew, panel: Panel, seat_strength: float) -> float:
    """Force in N that a screw square to the wall carries across, from hold to panel.

    Parameters
    ----------
    seat_strength
        Pressure the hold's material bears on the screw's shank, MPa.

    Notes
    -----
    Two plastic hinges in the screw, equation 8.6 f: 1.15 sqrt(2 beta / (1 + beta)) sqrt(2 My f1 d), with My =
    0.3 fu d^2.6 (8.14), d 1.1 times the root (8.3.1), and f2 = 0.11 rho d^-0.3 for plywood (8.20), rho in
    kg/m3. The pull along the screw that would add to it is left out.
    """
    d = 1.1 * screw.root
    hinge = 0.3 * SCREW_STRENGTH * d**2.6
    wood = 0.11 * panel.density * 1000.0 * d**-0.3
    beta = wood / seat_strength
    strength = 1.15 * math.sqrt(2.0 * beta / (1.0 + beta)) * math.sqrt(2.0 * hinge * seat_strength * d)
    return strength / PARTIAL


def screws_needed(missing: float, distance: float, capacity: float) -> int:
    """Count the screws that carry a torque.

    Parameters
    ----------
    missing
        Torque that nothing else holds, N m; none or less needs no screw.
    distance
        Of the screws from the bolt, mm.
    capacity
        Of one screw, N.
    """
    if missing <= 0.0:
        return 0
    return math.ceil(missing * 1000.0 / (distance * capacity) - 1e-9)


@dataclass(frozen=True)
class ScrewHeld:
    """A wood screw in its hole, as it stops a hold from turning."""

    hole: ScrewHole
    """The hole."""
    row: WoodScrew
    """Its screw, as the tables have it."""
    lever: float
    """Distance of its foot from the middle of the bolts, mm."""
    capacity: float
    """Force in N that it carries across: as of a screw square to the wall, times the cosine of its lean (our
    own measure)."""


def screws_held(
    holes: Sequence[ScrewHole],
    middle: tuple[float, float],
    catalogue: Catalogue,
    panel: Panel,
    seat_strength: float,
) -> tuple[ScrewHeld, ...]:
    """Give the screws that a hold has holes for.

    Parameters
    ----------
    middle
        (x, y) of the bolts, mm.
    seat_strength
        As of `shear_capacity`.

    Raises
    ------
    CatalogueError
        When the tables have no such screw any more.
    """
    held = []
    for hole in holes:
        row = look_up(catalogue.wood_screws, hole.screw, "wood screw")
        lever = math.hypot(hole.x - middle[0], hole.y - middle[1])
        held.append(ScrewHeld(hole, row, lever, hole.axis[2] * shear_capacity(row, panel, seat_strength)))
    return tuple(held)


def torque_held(screws: Sequence[ScrewHeld]) -> float:
    """Torque in N m about the bolts that screws carry together.

    Notes
    -----
    A hold that turns moves each screw by its lever times the angle, so that forces grow with the levers; the
    first to reach its capacity ends it. That is the elastic analysis of a group of fasteners in torsion
    (Shigley, Mechanical Engineering Design, section 8-12: F = M r / sum of r^2; section from memory), on the
    safe side for ductile ones. Clearance lets the hold turn a little until the screws bear.
    """
    turning = [screw for screw in screws if screw.lever > 0.0]
    if not turning:
        return 0.0
    per_mm = min(screw.capacity / screw.lever for screw in turning)
    return per_mm * sum(screw.lever**2 for screw in turning) / 1000.0
