"""Whether every wall is thick enough for its lines."""

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.measure.thickness import thinnest, wall_thickness
from holdwright.hold.finding_builder import new_finding

REACH = 3.0
"""Walls are measured up to so many times the limit."""

DOUBT = 1.4
"""Where faces are not parallel, straight inward may be so many times the wall, at most."""


def _look(printed: PrintedHold) -> Checked:
    requested = printed.requested
    limit = requested.wall_lines * requested.line_width
    maps, found = [], []
    for name, solid in printed.parts.items():
        values = wall_thickness(solid, DOUBT * limit, REACH * limit, requested.line_width)
        maps.append(SurfaceMap(name, values, "mm", limit))
        found.append((thinnest(solid, values), name))
    worst, part = min(found, key=lambda each: each[0].thickness)
    findings = [
        new_finding("thin_wall", each.thickness, limit, each.place, part=name)
        for each, name in found
        if each.thickness < limit
    ]
    if not np.isfinite(worst.thickness):
        return Checked(None, limit, maps=tuple(maps), words=f"more than {REACH * limit:g} mm")
    return Checked(worst.thickness, limit, worst.place, tuple(findings), tuple(maps), part)


WALL = Check("thin_wall", "Least wall", ("wall_lines", "line_width"), _look)
