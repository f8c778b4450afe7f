"""Whether the hold lies flat on the bed, and so on the wall."""

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.faces import middles, tops
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Mask
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import new_finding
from holdwright.progress import Progress

LEVEL = 0.9
"""Faces whose normal has more than this downward are the back: within 26 degrees. Our choice."""

SPECK = 1.0
"""What lies higher off the bed is not told below this area, mm2: a print has no such step. Our choice."""

NEAR = 3.0
"""Height above the bed up to which they are, mm, where the hold has no rim."""


def _look(printed: PrintedHold, _: Progress) -> Checked:
    limit, bed = printed.requested.flat_within, printed.bed
    top = bed + (printed.rim.height if printed.rim else NEAR)
    maps, worst, place = [], 0.0, None
    for name, solid in printed.parts.items():
        back = _back(printed, solid.mesh, top)
        height = tops(solid.mesh) - bed
        maps.append(SurfaceMap(name, np.where(back, height, np.nan), "mm", limit, least=False))
        numbers = np.flatnonzero(back)
        numbers = numbers[np.argsort(-height[numbers])]
        higher = np.cumsum(solid.mesh.areas[numbers]) >= SPECK
        if higher.any() and height[number := numbers[int(np.argmax(higher))]] > worst:
            worst, place = float(height[number]), point(middles(solid.mesh, number[None])[0])
    findings = (new_finding("back_uneven", worst, limit, place),) if worst > limit else ()
    return Checked(worst, limit, place, findings, tuple(maps))


def _back(printed: PrintedHold, mesh: Mesh, top: float) -> Mask:
    """Tell which faces lie on the bed or ought to: pockets in the back do not."""
    back = (mesh.crosses[:, 2] < -LEVEL * 2.0 * mesh.areas) & (mesh.areas > 0.0)
    back &= tops(mesh) < top
    numbers = np.flatnonzero(back)
    centres = middles(mesh, numbers)
    back[numbers[printed.in_ceiling(centres)]] = False
    return np.asarray(back)


FLATNESS = Check("back_uneven", "Flat back", ("flat_within",), _look)
