"""Whether a clamped hold turns, slips or comes off under a load."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.contact import Contact
from holdwright.joint.figure import Range
from holdwright.joint.loads import Load, Reach
from holdwright.joint.overturning import lift_safety, pry_force

MM_IN_M = 1000.0


@dataclass(frozen=True)
class Holding:
    """How a hold holds."""

    friction_torque: Range
    applied_torque: float
    """friction_torque, applied_torque: torque that friction resists with, and the greatest the load turns
    with, N m."""
    spin: Range
    slip: Range
    lift: Range
    overturning: Range
    """spin, slip, lift, overturning: what resists by what acts: turning about the bolts; slipping along the
    wall; an edge beginning to lift; the whole back coming off about its far edge. 1 is just enough."""
    pry: float
    """Pull on the bolts together, N, where the hold only stands on its far edge."""
    pinned_torque: float
    """Torque that wood screws and further bolts carry across, N m: it counts in `spin`."""


def holding(
    contact: Contact, reach: Reach, load: Load, clamp: Range, friction: Range, pinned_torque: float = 0.0
) -> Holding:
    """Compare what holds with what acts, for the worst point and direction of each figure by itself.

    Parameters
    ----------
    clamp
        What all bolts together clamp with, N.
    friction
        Coefficient between hold and wall.
    pinned_torque
        Torque that wood screws and further bolts carry besides, N m.

    Notes
    -----
    A bolt's shank is a pivot: where friction lets the hold slip, the shank stops it after the play of its
    hole, so that spin and slip are computed apart. Lift grows as the clamp does.
    """
    resisting = Range.by(lambda pull, mu: friction_force(pull, load, mu), clamp, friction)
    torque = Range.by(lambda force: force * contact.pressure.friction_radius / MM_IN_M, resisting)
    applied = load.along * reach.arm / MM_IN_M
    loads = reach.loads.seen_from(reach.middle)
    pry = pry_force(contact, loads, load)
    lift = float(lift_safety(contact, loads, load, clamp.likely, np.zeros((1, 2)))[0])
    return Holding(
        friction_torque=torque,
        applied_torque=applied,
        spin=Range.by(lambda held: float(safety(held + pinned_torque, applied)), torque),
        slip=Range.by(lambda force: float(safety(force, load.along)), resisting),
        lift=Range.by(lambda pull: lift * pull / clamp.likely, clamp),
        overturning=Range.by(lambda pull: float(safety(pull, pry)), clamp),
        pry=pry,
        pinned_torque=pinned_torque,
    )


def friction_force(clamp: float, load: Load, friction: float) -> float:
    """Friction in N along the wall; a load's outward part is taken off the clamp altogether."""
    return friction * max(clamp - load.outward, 0.0)


def safety(resists: Floats | float, acts: Floats | float) -> Floats:
    """Divide what resists by what acts; endless where nothing acts."""
    resists, acts = np.broadcast_arrays(resists, acts)
    return np.asarray(np.divide(resists, acts, out=np.full(acts.shape, np.inf), where=acts > 0.0))
