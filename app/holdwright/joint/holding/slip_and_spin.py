"""Whether a clamped hold turns, slips or comes off under a load."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.holding.contact import Contact
from holdwright.joint.holding.loads import Load, Reach
from holdwright.joint.holding.overturning import lift_safety, pry_force
from holdwright.ranges import Range

MM_IN_M = 1000.0


@dataclass(frozen=True)
class Demand:
    """What a load does to a hold at its worst point and direction, for each figure by itself."""

    load: Load
    torque: float
    """Greatest that it turns the hold with, N m."""
    lift: float
    """How many times it may act until an edge has lifted up to the washer, for each N of clamp."""
    pry: float
    """Pull on the bolts together, N, where the hold only stands on its far edge."""

    @classmethod
    def of(cls, contact: Contact, reach: Reach, load: Load) -> "Demand":
        """Look through all loads."""
        loads = reach.loads.seen_from(reach.middle)
        lift = float(lift_safety(contact.kern[None], loads, load, 1.0, np.zeros((1, 2)))[0])
        return cls(load, load.along * reach.arm / MM_IN_M, lift, pry_force(contact, loads, load))

    def times(self, factor: float) -> "Demand":
        """Give what so many times the load does."""
        load = Load(self.load.along * factor, self.load.outward * factor)
        return Demand(load, self.torque * factor, self.lift / factor, self.pry * factor)


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
    together: Range
    overturning: Range
    """spin, slip, lift, together, overturning: what resists by what acts: turning about the bolts; slipping
    along the wall; an edge lifting up to the washer; turning and slipping at once, by friction alone; the
    whole back coming off about its far edge. 1 is just enough."""
    pry: float
    """Pull on the bolts together, N, where the hold only stands on its far edge."""
    pinned_torque: float
    """Torque that wood screws and further bolts carry across, N m: it counts in `spin`."""


def holding(
    demand: Demand, friction_radius: float, clamp: Range, friction: Range, pinned_torque: float = 0.0
) -> Holding:
    """Compare what holds with what acts.

    Parameters
    ----------
    friction_radius
        Of the contact, mm.
    clamp
        What all bolts together clamp with, N.
    friction
        Coefficient between hold and wall, less what leaning bolts pull along it.
    pinned_torque
        Torque that wood screws and further bolts carry besides, N m.

    Notes
    -----
    Friction that is used up by sliding does not resist turning: both at once are borne up to an ellipse
    (Goyal, Ruina and Papadopoulos, Wear 143, 1991, from memory). Beyond it the hold slips until the bolt's
    shank stops it. The shank then bears what acts along the wall and is a pivot, and all friction resists
    turning: so `spin` counts it whole.
    """
    resisting = Range.by(lambda pull, mu: friction_force(pull, demand.load, mu), clamp, friction)
    torque = Range.by(lambda force: force * friction_radius / MM_IN_M, resisting)
    slip = Range.by(lambda force: float(safety(force, demand.load.along)), resisting)
    return Holding(
        friction_torque=torque,
        applied_torque=demand.torque,
        spin=Range.by(lambda held: float(safety(held + pinned_torque, demand.torque)), torque),
        slip=slip,
        lift=Range.by(lambda pull: demand.lift * pull, clamp),
        together=Range.by(lambda held, along: _both(float(safety(held, demand.torque)), along), torque, slip),
        overturning=Range.by(lambda pull: float(safety(pull, demand.pry)), clamp),
        pry=demand.pry,
        pinned_torque=pinned_torque,
    )


def friction_force(clamp: float, load: Load, friction: float) -> float:
    """Friction in N along the wall; a load's outward part is taken off the clamp altogether."""
    return friction * max(clamp - load.outward, 0.0)


def _both(turning: float, sliding: float) -> float:
    """Safety against both at once of the safeties against each."""
    used = np.hypot(*safety(1.0, np.array([turning, sliding])))
    return float(safety(1.0, used))


def safety(resists: Floats | float, acts: Floats | float) -> Floats:
    """Divide what resists by what acts; endless where nothing acts."""
    resists, acts = np.broadcast_arrays(resists, acts)
    return np.asarray(np.divide(resists, acts, out=np.full(acts.shape, np.inf), where=acts > 0.0))
