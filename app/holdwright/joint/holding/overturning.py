"""When the edge of a hold has lifted up to its washer, and what holds it once it stands on its far edge.

As under the cones (`pressure.py`), but wider, a hold presses with w max(0, n x + d): for each direction n the
line at which it ends touches the washers, and the resultant goes through a place q(n). While it stays between
these places, the kern, all under the washers presses. Clamp F at the bolts' middle and load move it: N q =
P z u - Q g for a load P along u at height z, its outward part Q at g. Ends of a long back gape before that.

By 3-D elastic contact without tension the gap reaches a washer of 30 mm with q at 15 mm (disc of 120 mm, seat
26.5 mm above the wall), 11 (disc of 80), 7 to 8 (seat at 16), 14 (bar of 240, along it): met within 15 %.
"""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.joint.holding.contact import Contact, Footing
from holdwright.joint.holding.loads import Load, Loads, Reach
from holdwright.joint.holding.pressure import TURNS, farthest_back

MOMENTS = 120
"""Directions in which the outermost moments are looked for: what lies between is less than 4e-4 farther."""


@dataclass(frozen=True, eq=False)
class Lifting:
    """The side that lifts first under the worst load."""

    safety: float
    """How many times the load may act until it has lifted up to the washer; as of `lift_safety`."""
    corner: Floats
    """(2,) its outermost place, mm from the bolts."""
    line: Floats
    """(a, b, c): a + b x + c y, mm, is below 0 beyond the washer's edge: what has lifted by then."""


def lift_safety(kerns: Floats, loads: Loads, load: Load, clamp: float, middles: Floats) -> Floats:
    """How many times the worst load may act until the gap reaches a washer, (n,); 0 where it always does.

    Parameters
    ----------
    kerns
        (n, `TURNS`, 2) from the middles of the bolts, as of `kerns_of`, mm.
    loads
        Where they may act, mm.
    clamp
        What all bolts together clamp with, N.
    middles
        (n, 2) middles of the bolts, mm.
    """
    pulls, within = _pulls(kerns, loads, load, middles)
    pulls = pulls.max(axis=1)
    times = np.divide(clamp, pulls, out=np.full(len(pulls), np.inf), where=pulls > 0.0)
    return np.where(within.all(axis=1), times, 0.0)


def lifting(contact: Contact, reach: Reach, load: Load, clamp: float) -> Lifting | None:
    """Find what lifts first; None where no load lifts anything."""
    middle, loads = np.zeros((1, 2)), reach.loads.seen_from(reach.middle)
    pulls, within = _pulls(contact.kern[None], loads, load, middle)
    safety = float(lift_safety(contact.kern[None], loads, load, clamp, middle)[0])
    if not np.isfinite(safety):
        return None
    worst = int(np.where(within, pulls, np.inf)[0].argmax())
    turn = (worst + 0.5) * 2.0 * np.pi / TURNS
    toward = np.array([np.cos(turn), np.sin(turn)])
    line = np.array([-farthest_back(contact.cones, toward[None])[0], *toward])
    return Lifting(safety, contact.hull[int((contact.hull @ toward).argmin())], line)


def pry_force(footing: Footing, loads: Loads, load: Load) -> float:
    """Greatest pull on the bolts, at the origin, with which they alone hold a hold on its far edge, N.

    Moments about each edge of the hull, n its normal and b its distance: N b = P z u n + Q (b - g n).
    """
    return float(_pulls(footing.hull[None], loads, load, np.zeros((1, 2)))[0].max())


def _pulls(outlines: Floats, loads: Loads, load: Load, middles: Floats) -> tuple[Floats, Floats]:
    """Give what each side of outlines (n, k, 2) round the bolts takes to keep the resultant within, N (n, k).

    Besides, whether the bolts are within it.
    """
    along = np.roll(outlines, -1, axis=1) - outlines
    lengths = np.maximum(np.hypot(along[..., 0], along[..., 1]), 1e-12)
    normals = np.stack([along[..., 1], -along[..., 0]], axis=-1) / lengths[..., None]
    distances = np.einsum("nki,nki->nk", normals, outlines)
    moments = _outermost(
        load.along * loads.points[:, 2:] * loads.directions - load.outward * loads.points[:, :2]
    )
    turning = np.einsum("nki,mi->nkm", normals, moments).max(axis=2, initial=-np.inf)
    turning += load.outward * np.einsum("nki,ni->nk", normals, middles)
    pulls = np.maximum(turning / np.maximum(distances, 1e-6) + load.outward, 0.0)
    return np.asarray(pulls), np.asarray(distances >= 0.0)


def _outermost(moments: Floats) -> Floats:
    """Leave out moments (m, 2) that lie within the others: what is greatest is linear in them."""
    if len(moments) <= MOMENTS:
        return moments
    outermost = _may_be_outermost(moments)
    centred = (moments - moments.mean(axis=0))[outermost]
    turns = np.arange(MOMENTS) * (2.0 * np.pi / MOMENTS)
    outward = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    farthest = (outward @ centred.T).argmax(axis=1)
    return np.asarray(moments[outermost][np.unique(farthest)])


def _may_be_outermost(moments: Floats) -> Mask:
    """Tell which of moments (m, 2) are not within the octagon of those outermost in eight directions."""
    x, y = moments.T
    ways = x, x + y, y, y - x
    corners = moments[[*(way.argmax() for way in ways), *(way.argmin() for way in ways)]]
    outside: Mask = np.asarray((moments == corners[0]).all(axis=1))
    for (a, b), (c, d) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (a, b) != (c, d):
            outside |= (c - a) * (y - b) <= (d - b) * (x - a)
    return outside
