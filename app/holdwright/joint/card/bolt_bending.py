"""What a bolt bears where the hold has slipped onto its shank: the load along the wall bends it besides."""

import math

from holdwright.joint.card.bolt_figures import Tightened, pulls
from holdwright.joint.conditions import Conditions
from holdwright.joint.figure import Figure, sources
from holdwright.ranges import Range


def bent_stress(bolt: Tightened, conditions: Conditions, pry: float, across: float) -> Figure:
    """Give the greatest stress of a bolt that carries a pull across.

    Parameters
    ----------
    pry, across
        N on this bolt: the pull off the wall, and that along it, which friction no longer takes.

    Notes
    -----
    A cantilever from where the T-nut's thread begins, loaded in the middle of the length of the hold's hole
    that bears on it at the plastic's short-time strength. That the head is clamped too is left out.
    """
    screw, depth = bolt.hardware.screw, conditions.panel.thickness - bolt.hardware.t_nut.barrel
    bears = across / (screw.d * (conditions.material.allowable_short or 1.0))
    lever = max(depth, 0.0) + min(bears, bolt.bore.seat) / 2.0
    core = math.sqrt(4.0 * screw.stress_area / math.pi)
    bending = across * lever * 32.0 / (math.pi * core**3)
    stress = Range.by(lambda pull: pull / screw.stress_area + bending, pulls(bolt, conditions, pry))
    return Figure(
        stress.likely,
        "MPa",
        f"tension and {bending:.0f} MPa of bending, by a lever of {lever:.1f} mm from the T-nut's thread to "
        "the middle of what bears on the shank (beam of the stress area's diameter, elastic; our own "
        f"measure); {sources(bolt.hardware.strength)}",
        bolt.hardware.strength.yield_stress,
        "at most",
        stress,
    )
