"""Where the edge of a hold begins to lift, and what holds it once it stands on its far edge.

Linear pressure N / A (1 + (q - c) J^-1 (v - c)) at each corner v of the footing's hull: c the centroid, J the
spread, q where the resultant N goes through. Clamp F at o and load move it: N q = F o + P z u - Q (g - c) for
a load P along u at height z and its outward part Q at g. For a disc it is the textbook's M <= F R / 4, for a
rectangle F d / 6 (any text on eccentrically loaded footings).

Under load all that touches reacts, beyond the cones. By 3-D elastic contact without tension a disc of 80 to
120 mm has opened up to its washer about then. One with a thin seat or a long bar has much earlier: there lift
is only an upper bound.
"""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.contact import Contact, Footing
from holdwright.joint.loads import Load, Loads, Reach

TURNS = 120
"""Directions in which the outermost moments are looked for: what lies between is less than 4e-4 farther."""


@dataclass(frozen=True, eq=False)
class Lifting:
    """The place of the contact that stops pressing first under the worst load."""

    safety: float
    """How many times the load may act until then; as of `lift_safety`."""
    corner: Floats
    """(2,) that place, mm from the bolts."""
    plane: Floats
    """(a, b, c): pressure a + b x + c y under the load, MPa; less than none where it would have to pull,
    which is where the hold lifts."""


def lift_safety(footing: Footing, loads: Loads, load: Load, clamp: float, middles: Floats) -> Floats:
    """How many times the worst load may act until an edge lifts, (n,); 0 where one never presses.

    Parameters
    ----------
    loads
        Where they may act, origin as of the footing.
    clamp
        What all bolts together clamp with, N.
    middles
        (n, 2) middles of the bolts, mm.
    """
    even = _even(footing, clamp, middles)
    most = _lost(footing, _outermost(_moments(footing, loads, load)), load).max(axis=0)
    times = (even[:, most > 0.0] / most[most > 0.0]).min(axis=1, initial=np.inf)
    return np.where(even.min(axis=1) < 0.0, 0.0, times)


def lifting(contact: Contact, reach: Reach, load: Load, clamp: float) -> Lifting | None:
    """Find what lifts first; None where no load lifts anything."""
    even = _even(contact, clamp, np.zeros((1, 2)))[0]
    if even.min() < 0.0:
        slope = -clamp * np.linalg.solve(contact.spread, contact.centre)
        plane = np.array([clamp - slope @ contact.centre, *slope]) / contact.area
        return Lifting(0.0, contact.hull[int(even.argmin())], plane)
    moved = _moments(contact, reach.loads.seen_from(reach.middle), load)
    lost = _lost(contact, moved, load)
    times = np.divide(even, lost, out=np.full(lost.shape, np.inf), where=lost > 0.0)
    worst, first = np.unravel_index(times.argmin(), times.shape)
    if not np.isfinite(times[worst, first]):
        return None
    slope = np.linalg.solve(contact.spread, moved[worst] - clamp * contact.centre)
    plane = np.array([clamp - load.outward - slope @ contact.centre, *slope]) / contact.area
    return Lifting(float(times[worst, first]), contact.hull[first], plane)


def pry_force(footing: Footing, loads: Loads, load: Load) -> float:
    """Greatest pull on the bolts, at the origin, with which they alone hold a hold on its far edge, N.

    Moments about each edge of the hull, n its normal and b its distance: N b = P z u n + Q (b - g n).
    """
    along = np.roll(footing.hull, -1, axis=0) - footing.hull
    normals = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.hypot(*along.T)[:, None]
    distances = np.maximum(np.einsum("ij,ij->i", normals, footing.hull), 1e-6)
    normals /= distances[:, None]
    moments = _outermost(_moments(footing, loads, load)) - load.outward * footing.centre
    return max(float((moments @ normals.T).max(initial=-load.outward)) + load.outward, 0.0)


def _even(footing: Footing, clamp: float, middles: Floats) -> Floats:
    """Pressure without load at the corners (n, k), in N over the area."""
    return np.asarray(clamp * (1.0 + (middles - footing.centre) @ footing.leverage))


def _moments(footing: Footing, loads: Loads, load: Load) -> Floats:
    """Moments (m, 2) of the loads about the centroid, as they move the resultant, N mm."""
    away = loads.points[:, :2] - footing.centre
    return np.asarray(load.along * loads.points[:, 2:] * loads.directions - load.outward * away)


def _outermost(moments: Floats) -> Floats:
    """Leave out moments (m, 2) that lie within the others: what is greatest is linear in them."""
    if len(moments) <= TURNS:
        return moments
    turns = np.arange(TURNS) * (2.0 * np.pi / TURNS)
    outward = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    farthest = (outward @ (moments - moments.mean(axis=0)).T).argmax(axis=1)
    return np.asarray(moments[np.unique(farthest)])


def _lost(footing: Footing, moments: Floats, load: Load) -> Floats:
    """Give what each load takes off the pressure at the corners (m, k), in N over the area."""
    return np.asarray(load.outward - moments @ footing.leverage)
