"""Slits, narrow holes and clefts that may catch a finger."""

from functools import partial

import numpy as np

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.narrow_gaps import narrow_gaps
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import new_finding
from holdwright.progress import Progress

_BESIDE = 2.0
"""What is within so many mm of a bolt's or screw's hole is no gap."""


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    requested, limit = printed.requested, printed.requested.finger_depth
    narrowest, widest = requested.finger_from, requested.finger_to
    back = float(printed.shell.bounds[0, 2]) if printed.rim is None else 0.0
    parts = [part.mesh for part in printed.parts.values()]
    gaps = narrow_gaps(parts, narrowest, widest, back, partial(_in_holes, printed), progress)
    if not gaps:
        return Checked(None, limit, words=f"no gap {narrowest:g} to {widest:g} mm wide")
    findings = [
        new_finding(
            "finger_trap:through" if gap.through else "finger_trap",
            gap.depth,
            limit,
            gap.place,
            width=gap.width,
            low=narrowest,
            high=widest,
        )
        for gap in gaps
        if gap.depth > limit
    ]
    worst = gaps[0]
    return Checked(
        worst.depth, limit, point(worst.place), tuple(findings), words=f"{worst.width:.0f} mm wide"
    )


def _in_holes(printed: PrintedHold, places: Floats) -> Mask:
    """Tell which places (n, 3) lie in the holes of bolts and screws, or beside them."""
    inside = np.zeros(len(places), dtype=bool)
    for hole in holes(printed.hold.features):
        inside |= hole.on_surface(places, _BESIDE)
    return inside


FINGER_TRAPS = Check("finger_trap", "Finger traps", ("finger_from", "finger_to", "finger_depth"), _look)
