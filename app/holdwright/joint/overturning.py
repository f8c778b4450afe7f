"""Where the edge of a hold begins to lift."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.joint.contact import Contact
from holdwright.joint.load import Load
from holdwright.joint.load_points import Reach


@dataclass(frozen=True, eq=False)
class Lifting:
    """The place of the contact that stops pressing first under the worst load.

    Attributes
    ----------
    safety
        How many times the load may act until then; as of `holding.lift_safety`.
    corner
        (2,) that place, mm from the bolts.
    plane
        (a, b, c): pressure a + b x + c y under the load, MPa; less than none where it would have to pull,
        which is where the hold lifts.
    """

    safety: float
    corner: Floats
    plane: Floats


def lifting(contact: Contact, reach: Reach, load: Load, clamp: float) -> Lifting | None:
    """Find it among all worst points and directions; None where no load lifts anything.

    Parameters
    ----------
    clamp
        What all bolts together clamp with, N.

    Notes
    -----
    The linear pressure of `holding.lift_safety`, written out over the whole contact.
    """
    even = clamp * (1.0 - contact.centre @ contact.leverage)
    if even.min() < 0.0:
        # It does not press there even without load, and where it does is known exactly.
        return Lifting(0.0, contact.hull[int(even.argmin())], clamp * contact.pressure.plane)
    worst: Lifting | None = None
    for index, direction in enumerate(reach.directions):
        for place, height in (
            (reach.height_points[index], reach.heights[index]),
            (reach.arm_points[index], reach.arm_points[index][2]),
        ):
            from_bolt = place[:2] - reach.middle
            moved = load.along * height * direction - load.outward * (from_bolt - contact.centre)
            change = moved @ contact.leverage - load.outward
            ratio = np.where(change < 0.0, even / np.where(change < 0.0, -change, 1.0), np.inf)
            first = int(ratio.argmin())
            if np.isfinite(ratio[first]) and (worst is None or ratio[first] < worst.safety):
                plane = _plane(contact, moved, clamp, load.outward)
                worst = Lifting(float(ratio[first]), contact.hull[first], plane)
    return worst


def _plane(contact: Contact, moved: Floats, clamp: float, outward: float) -> Floats:
    slope = np.linalg.solve(contact.spread, moved - clamp * contact.centre)
    return np.array([clamp - outward - slope @ contact.centre, *slope]) / contact.area
