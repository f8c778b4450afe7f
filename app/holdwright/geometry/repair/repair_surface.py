"""From a surface in any state to closed solids, and an account of what that took."""

from dataclasses import replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boundary_loops import boundary_loops
from holdwright.geometry.mesh.closedness import volume_and_areas
from holdwright.geometry.mesh.weld import Welded
from holdwright.geometry.repair.face_orientation import Outward, hanging_faces, outward_parts
from holdwright.geometry.repair.hole_filling import Patch, patches
from holdwright.geometry.repair.open_sheets import areas_of, flat_words, is_flat, why_no_solid
from holdwright.geometry.repair.overlap_removal import measured, resolved
from holdwright.geometry.repair.repair_account import Hole, Limits, Mended, Mending

_SCRAP = 0.01
"""Parts of less than this share of the largest one's area are dropped where they bound nothing."""


def mend(surface: Welded, limits: Limits) -> list[Mended]:
    """Close a connected surface: one solid for each part that hangs together by edges.

    Parameters
    ----------
    surface
        Connected, welded.
    limits
        How far to go.
    """
    hanging = hanging_faces(surface.vertices, surface.triangles)
    parts = outward_parts(surface.vertices, surface.triangles[~hanging])
    areas = np.array([float(areas_of(surface.vertices, part.triangles).sum()) for part in parts])
    scraps = areas < _SCRAP * areas.max()
    found = [_closed(surface, part, limits) for part, scrap in zip(parts, scraps, strict=True) if not scrap]
    rest = [_closed(surface, part, limits) for part, scrap in zip(parts, scraps, strict=True) if scrap]
    lost = sum(each.triangles for each in rest if each.solid is None)
    first = found[0].mending
    if first is not None:
        walls = first.walls + int(hanging.sum())
        found[0] = replace(found[0], mending=replace(first, dropped=first.dropped + lost, walls=walls))
    return found + [each for each in rest if each.solid is not None]


def _closed(surface: Welded, part: Outward, limits: Limits) -> Mended:
    used, compact = np.unique(part.triangles, return_inverse=True)
    vertices, triangles = surface.vertices[used], compact.reshape(-1, 3)
    bounds = np.array([vertices.min(axis=0), vertices.max(axis=0)])
    if part.one_sided:
        return Mended(
            len(triangles), bounds, None, "it has but one side, like a Moebius strip, so it has no inside"
        )
    loops = boundary_loops(vertices, triangles)
    problem = why_no_solid(vertices, triangles, loops, limits.largest_hole)
    if problem:
        return Mended(len(triangles), bounds, None, problem)
    fills = patches(vertices, triangles, loops)
    points = np.concatenate([vertices, *(fill.vertices for fill in fills)])
    filling = np.concatenate([np.zeros((0, 3), dtype=np.int64), *(fill.triangles for fill in fills)])
    faces = np.concatenate([triangles, filling])
    volume, areas = volume_and_areas(points, faces)
    if is_flat(volume, float(areas.sum()), float(np.ptp(bounds, axis=0).max())):
        return Mended(len(triangles), bounds, None, flat_words(len(triangles)))
    if volume < 0:
        faces = faces[:, ::-1]
    mending = Mending(
        "mended",
        merged=surface.merged,
        moved=surface.moved,
        dropped=surface.dropped,
        turned=part.turned,
        walls=part.walls,
        crowded=part.crowded,
        holes=tuple(_hole(points, fill) for fill in fills),
        before=None if loops else abs(volume),
    )
    done = resolved(points, faces, mending, limits.voxel)
    if done is None:
        return Mended(len(triangles), bounds, None, "it encloses nothing")
    own = (surface.vertices, surface.triangles)
    return Mended(len(triangles), bounds, done[0], "", measured(*done, own, (points, filling)))


def _hole(vertices: Floats, fill: Patch) -> Hole:
    x, y, z = vertices[fill.triangles].mean(axis=(0, 1))
    return Hole(fill.kind, fill.span, fill.area, fill.lift, (float(x), float(y), float(z)))
