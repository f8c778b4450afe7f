"""Faces that look down and lie flatter than prints without support."""

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.layers.in_air import InAir
from holdwright.geometry.measure.sections import inside
from holdwright.geometry.mesh.connectivity import grouped, triangle_sets
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Point, point
from holdwright.hold.finding_builder import in_cm2, limit_of, new_finding

_SLACK = 1e-6


def _look(printed: PrintedHold) -> Checked:
    limit, height = limit_of("overhang"), printed.requested.layer_height
    maps, areas, findings = [], [], []
    for name, solid in printed.parts.items():
        slopes = slopes_below(solid)
        on_bed = solid.mesh.corners[:, :, 2].max(axis=1) < printed.bed + height
        flat = ~on_bed & (slopes < printed.requested.limit_angle - _SLACK)
        flat &= ~_bridged(solid.mesh, flat, printed.in_air[name], height)
        area, place = _largest(solid.mesh, flat)
        maps.append(SurfaceMap(name, np.where(on_bed, np.nan, slopes), "deg", printed.requested.limit_angle))
        areas.append((area, place))
        if area > limit:
            slope, in_words = printed.requested.limit_angle, in_cm2(area)
            findings.append(new_finding("overhang", area, None, place, area=in_words, part=name, slope=slope))
    worst, place = max(areas, key=lambda each: each[0])
    return Checked(worst, limit, place, tuple(findings), tuple(maps))


def slopes_below(solid: Solid) -> Floats:
    """Give the slope from level of each face that looks down, (m,) degrees; infinite for all others."""
    mesh = solid.mesh
    down = -mesh.crosses[:, 2] / np.maximum(2.0 * mesh.areas, 1e-300)
    slopes = np.degrees(np.arccos(np.clip(down, -1.0, 1.0)))
    return np.where((down > 0.0) & (mesh.areas > 0.0), slopes, np.inf)


def _bridged(mesh: Mesh, flat: Mask, found: tuple[InAir, ...], height: float) -> Mask:
    """Tell which of some faces are bridged: another check judges these."""
    bridged = np.zeros(len(flat), dtype=np.bool_)
    numbers = np.flatnonzero(flat)
    centres = mesh.corners[numbers].mean(axis=1)
    for bridge in (each for each in found if each.bridges):
        near = np.flatnonzero(np.abs(centres[:, 2] - bridge.middle + height / 2.0) <= height / 2.0 + _SLACK)
        bridged[numbers[near]] |= inside(centres[near, :2], bridge.outlines)
    return bridged


def _largest(mesh: Mesh, flat: Mask) -> tuple[float, Point | None]:
    """Give the area of all these faces, mm2, and the middle of the largest patch of them."""
    numbers = np.flatnonzero(flat)
    if not len(numbers):
        return 0.0, None
    areas = mesh.areas[numbers]
    patch = max(grouped(triangle_sets(mesh.triangles[numbers])), key=lambda each: float(areas[each].sum()))
    return float(areas.sum()), point(mesh.corners[numbers[patch[np.argmax(areas[patch])]]].mean(axis=0))


OVERHANG = Check("overhang", "Overhangs", IN_AIR, _look)
