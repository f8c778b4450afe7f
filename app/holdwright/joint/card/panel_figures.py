"""What the panel bears: the T-nut's flange on its back, and the pull that punches it through."""

import math

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.card.bolt_figures import Tightened
from holdwright.joint.conditions import Conditions
from holdwright.joint.figure import Figure, sources
from holdwright.joint.holding.pressure import Pressure
from holdwright.ranges import Range


def flange_pressure(bolt: Tightened, conditions: Conditions) -> Figure:
    """Give the mean pressure of the T-nut's flange on the panel, just tightened."""
    nut, panel = bolt.hardware.t_nut, conditions.panel
    pressure, bears = (
        Range.by(lambda f: f / nut.bearing_area, bolt.preload.tightened),
        panel.bears(nut.flange),
    )
    source = (
        f"preload over the flange without barrel, screw holes and prongs, {nut.bearing_area:.0f} mm2; the "
        f"panel bears {bears.in_words} MPa, more than on all of its face since it spreads (van der Put, "
        f"Heron 53, 2008, from memory); {sources(nut, panel, conditions.nut_factor)}"
    )
    return Figure(pressure.likely, "MPa", source, bears.likely, "at most", pressure)


def pull_through(bolt: Tightened, conditions: Conditions, pry: float, under_flange: float) -> Figure:
    """Give the force that punches the T-nut through the panel.

    Parameters
    ----------
    pry
        Pull of the load on this bolt, N.
    under_flange
        Share of the clamp that the hold presses back over the flange, see `share_over`: it does not shear the
        panel until the load takes it off the wall.
    """
    nut, panel = bolt.hardware.t_nut, conditions.panel
    force = Range.by(
        lambda clamp: max(clamp, pry) - under_flange * max(clamp - pry, 0.0), bolt.preload.tightened
    )
    sheared = math.pi * (nut.flange + panel.thickness) * panel.thickness
    source = (
        f"bolt's pull less what the hold presses back within 45 degrees of the flange, {under_flange:.0%} of "
        f"the clamp; limit: shear between plies, {Range(*panel.rolling_shear).in_words} MPa, half its "
        f"thickness out from the flange (as slabs are punched, ACI 318, from memory); {sources(nut, panel)}"
    )
    return Figure(force.likely, "N", source, panel.rolling_shear[1] * sheared, "at most", force)


def most_clamp(bolt: Tightened, conditions: Conditions, pry: float, under_flange: float) -> float:
    """Give the clamp, N, from which the T-nut is likely pulled through the panel; arguments as above."""
    limit = pull_through(bolt, conditions, pry, under_flange).limit or 0.0
    if limit <= pry:
        return 0.0
    return (limit - under_flange * pry) / (1.0 - under_flange) if under_flange < 1.0 else math.inf


def share_over(pressure: Pressure, bolt: Tightened, middle: Floats, bolts: int, thickness: float) -> float:
    """Give the share of one of several bolts' clamp that the hold presses back over its T-nut's flange.

    Parameters
    ----------
    pressure
        Of the hold, origin at the middle of the bolts.
    middle
        (2,) of the bolts, mm.
    thickness
        Of the panel, mm, through which the flange spreads its pull within 45 degrees.
    """
    x, y = pressure.grid.places
    away = np.hypot(x + middle[0] - bolt.bore.x, y + middle[1] - bolt.bore.y)
    over = away <= bolt.hardware.t_nut.flange / 2.0 + thickness
    return min(bolts * float(pressure.field[over].sum() / pressure.field.sum()), 1.0)
