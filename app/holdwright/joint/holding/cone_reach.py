"""How far from its bolt a hold presses on the wall: as far as cones from both ends of the bolt reach.

All measures here are our own, the ones that come nearest to elastic contact without tension
(tests/outside/test_elastic_contact.py): within 15 % on a rigid wall, on springs that are as stiff as plywood
is square to its face, and on a slab of plywood that a T-nut's flange pulls against the hold.
"""

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from holdwright.geometry.arrays import Floats

SPREAD = 1.5
"""What the give of a wall adds to a cone, by the cube root of give and squared height of the seat. How far a
load spreads in a body on springs goes with (E I / k) to the power of 1/4 for a slender beam (Hetenyi, Beams
on Elastic Foundation, from memory) and with E / k for one without end; a hold lies between."""
BEHIND = 1.25
"""What the cone from the flange lets press, by its own radius."""

F = TypeVar("F", float, Floats)


@dataclass(frozen=True)
class WallSupport:
    """What a hold presses on; unless told otherwise rigid and resting on all of its back."""

    give: float = 0.0
    """Modulus of the hold (MPa) by the stiffness of the panel's thickness (MPa/mm), mm."""
    behind: float = math.inf
    """Radius on the panel's face of the cone from the T-nut's flange on its back, mm: beyond it the panel
    only bends out of the hold's way."""

    @classmethod
    def of(
        cls, modulus: float, across: float, thickness: float, flange: float, barrel: float
    ) -> "WallSupport":
        """Give that of a panel.

        Parameters
        ----------
        modulus, across
            Of the hold, and of the panel square to its face, GPa.
        thickness
            Of the panel, mm.
        flange, barrel
            Diameters of the T-nut's, mm.
        """
        return cls(modulus / across * thickness, reach_of(thickness, flange, barrel))


RIGID = WallSupport()


def reach_of(seat: F, pressing: float, hole: float, wall: WallSupport = RIGID) -> F:
    """Give the radius on the wall of the cone from the middle of the ring that presses on a seat, mm.

    Its half-angle is 45 degrees (Roetscher, Die Maschinenelemente, 1927, from memory). A wall that gives
    widens it, as one spread after another adds up by squares; the cone from behind narrows it.

    Parameters
    ----------
    seat
        Height of the seat above the wall, mm.
    pressing, hole
        Diameters of washer or head, and of the hole, mm.
    """
    ahead = np.hypot(seat + (pressing + hole) / 4.0, SPREAD * np.cbrt(wall.give * seat**2))
    found: F = 1.0 / np.hypot(1.0 / ahead, 1.0 / (BEHIND * wall.behind))
    return found
