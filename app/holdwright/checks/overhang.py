"""Faces that look down and lie flatter than prints without support."""

from collections.abc import Sequence

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.faces import middles, tops
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.layers.in_air import InAir
from holdwright.geometry.measure.sections import inside
from holdwright.geometry.mesh.connectivity import grouped, triangle_sets
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Point, point
from holdwright.hold.finding_builder import in_cm2, limit_of, new_finding
from holdwright.progress import Progress

_SLACK = 1e-6


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    limit, height = limit_of("overhang"), printed.requested.layer_height
    slope = printed.requested.limit_angle
    bridges = [each for each in printed.in_air(progress) if each.bridges]
    maps, patches = [], []
    for name, solid in printed.parts.items():
        slopes = slopes_below(solid)
        on_bed = tops(solid.mesh) < printed.bed + height
        maps.append(SurfaceMap(name, np.where(on_bed, np.nan, slopes), "deg", slope))
        flat = np.flatnonzero(~on_bed & (slopes < slope - _SLACK))
        centres = middles(solid.mesh, flat)
        held = printed.in_ceiling(centres) | printed.at_other_part(name, flat)
        patches.append(_patches(solid.mesh, flat[~held & ~_bridged(centres, bridges, height)]))
    total = sum(each[0] for each in patches)
    place = max(patches, key=lambda each: each[1])[2]
    if total <= limit:
        return Checked(total, limit, place, maps=tuple(maps))
    found = new_finding("overhang", total, None, place, area=in_cm2(total), slope=slope)
    return Checked(total, limit, place, (found,), tuple(maps))


def slopes_below(solid: Solid) -> Floats:
    """Give the slope from level of each face that looks down, (m,) degrees; infinite for all others."""
    mesh = solid.mesh
    down = -mesh.crosses[:, 2] / np.maximum(2.0 * mesh.areas, 1e-300)
    slopes = np.degrees(np.arccos(np.clip(down, -1.0, 1.0)))
    return np.where((down > 0.0) & (mesh.areas > 0.0), slopes, np.inf)


def _bridged(centres: Floats, bridges: Sequence[InAir], height: float) -> Mask:
    """Tell which faces with middles (n, 3) are bridged: another check judges these."""
    bridged = np.zeros(len(centres), dtype=np.bool_)
    for bridge in bridges:
        near = np.flatnonzero(np.abs(centres[:, 2] - bridge.middle + height / 2.0) <= height / 2.0 + _SLACK)
        bridged[near] |= inside(centres[near, :2], bridge.outlines)
    return bridged


def _patches(mesh: Mesh, faces: Indices) -> tuple[float, float, Point | None]:
    """Give the area of faces (k,), that of the largest patch of them, mm2, and the middle of that."""
    if not len(faces):
        return 0.0, 0.0, None
    areas = mesh.areas[faces]
    patch = max(grouped(triangle_sets(mesh.triangles[faces])), key=lambda each: float(areas[each].sum()))
    largest = faces[patch[[np.argmax(areas[patch])]]]
    return float(areas.sum()), float(areas[patch].sum()), point(middles(mesh, largest)[0])


OVERHANG = Check("overhang", "Overhangs", IN_AIR, _look)
