"""Whether a clamped hold turns, slips or lifts under a load."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.contact import Contact
from holdwright.joint.load import Load
from holdwright.joint.load_points import Reach

MM_IN_M = 1000.0


@dataclass(frozen=True)
class Holding:
    """How a hold holds.

    Attributes
    ----------
    friction_torque, applied_torque
        Torque that friction resists with, and the greatest the load turns with, N m.
    spin, slip, lift, tip
        What resists by what acts: turning about the bolts; slipping along the wall; an edge beginning to
        lift; the whole back coming off about its far edge. 1 is just enough.
    pry
        Pull on the bolts together, N, where the hold only stands on its far edge.
    """

    friction_torque: float
    applied_torque: float
    spin: float
    slip: float
    lift: float
    tip: float
    pry: float


def holding(contact: Contact, reach: Reach, load: Load, clamp: float, friction: float) -> Holding:
    """Weigh what holds against what acts, for the worst point and direction of each figure by itself.

    Parameters
    ----------
    clamp
        What all bolts together clamp with, N.
    friction
        Coefficient between hold and wall.

    Notes
    -----
    A bolt's shank is a pivot: where friction lets the hold slip, the shank stops it after the play of its
    hole, so that spin and slip are weighed apart. A load's outward part is taken off the clamp altogether.
    """
    pressing = max(clamp - load.outward, 0.0)
    torque = friction * pressing * contact.pressure.friction_radius / MM_IN_M
    applied = load.along * reach.arm / MM_IN_M
    lift, tip, pry = np.inf, np.inf, 0.0
    for index, direction in enumerate(reach.directions):
        for place, height in (
            (reach.height_points[index], reach.heights[index]),
            (reach.arm_points[index], reach.arm_points[index][2]),
        ):
            from_bolt = place[:2] - reach.middle
            lift = min(lift, lift_safety(contact, load, clamp, direction, from_bolt, float(height)))
            pull = pry_force(contact, load, direction, from_bolt, float(height))
            pry = max(pry, pull)
    tip = clamp / pry if pry > 0.0 else np.inf
    return Holding(
        friction_torque=torque,
        applied_torque=applied,
        spin=_ratio(torque, applied),
        slip=_ratio(friction * pressing, load.along),
        lift=float(lift),
        tip=float(tip),
        pry=pry,
    )


def lift_safety(
    contact: Contact, load: Load, clamp: float, direction: Floats, place: Floats, height: float
) -> float:
    """How many times a load may act until the contact's first edge stops pressing; 0 where one never does.

    Parameters
    ----------
    direction
        (2,) unit vector of the load along the wall.
    place
        (2,) where it acts, from the bolts, mm.
    height
        How high above the wall, mm.

    Notes
    -----
    Linear pressure N / A (1 + (q - c) J^-1 (v - c)) at each corner v of the hull: c the centroid, J the
    spread, q where the resultant N goes through. Clamp and load move it: N q = F o + P z u - Q g for a load
    along u at height z and its outward part Q at g. For a disc it is the textbook's M <= F R / 4, for a
    rectangle F d / 6 (any text on eccentrically loaded footings).
    """
    even = clamp * (1.0 - contact.centre @ contact.leverage)
    moved = load.along * height * direction - load.outward * (place - contact.centre)
    change = moved @ contact.leverage - load.outward
    lifting = change < 0.0
    if even.min() < 0.0:
        return 0.0
    return float((even[lifting] / -change[lifting]).min()) if lifting.any() else np.inf


def pry_force(contact: Contact, load: Load, direction: Floats, place: Floats, height: float) -> float:
    """Pull on the bolts in N with which they alone hold a hold that stands on its far edge.

    Moments about the edge at b toward the load: N b = P z + Q (b - g).
    """
    edge = max(contact.edge_toward(direction), 1e-6)
    return (load.along * height + load.outward * (edge - float(place @ direction))) / edge


def _ratio(resists: float, acts: float) -> float:
    return resists / acts if acts > 0.0 else np.inf
