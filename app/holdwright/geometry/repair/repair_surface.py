"""From a surface in any state to closed solids, and an account of what that took."""

from dataclasses import replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boundary_loops import boundary_loops
from holdwright.geometry.mesh.connectivity import vertex_sets
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.weld import Welded
from holdwright.geometry.repair.face_orientation import Outward, hanging_faces, outward_parts
from holdwright.geometry.repair.hole_filling import Filling, fillings
from holdwright.geometry.repair.open_back import with_back
from holdwright.geometry.repair.open_sheets import is_flat, why_no_solid
from holdwright.geometry.repair.repair_account import Body, ClosedHole, Defect, Limits, Mending
from holdwright.geometry.repair.self_overlap_repair import measured, resolved

_SCRAP = 0.01
"""Parts of less than this share of the largest one's area are dropped where they bound nothing."""


def mend(whole: Welded, limits: Limits) -> list[tuple[Mesh, list[Body]]]:
    """Close surfaces: each connected one, and a body for each part of it that hangs together by edges."""
    surfaces = [whole.mesh.submesh(part) for part in whole.mesh.parts()]
    crowded = bool((whole.mesh.edges[1] > 2).any())
    # There may be thousands, so all are turned in one go; but what hangs loose is told surface by surface.
    parts = [[] for _ in surfaces] if crowded else _outward(whole.mesh)
    return [
        (mesh, _mended(replace(whole, mesh=mesh), each, limits))
        for mesh, each in zip(surfaces, parts, strict=True)
    ]


def _outward(whole: Mesh) -> list[list[Outward]]:
    """Turn the parts of each connected surface outward."""
    count, label = vertex_sets(whole.triangles, len(whole.vertices))
    parts: list[list[Outward]] = [[] for _ in range(count)]
    for part in outward_parts(whole):
        parts[label[part.mesh.triangles[0, 0]]].append(part)
    return parts


def _mended(surface: Welded, parts: list[Outward], limits: Limits) -> list[Body]:
    if len(surface.mesh.triangles) == 1:
        return [Body(1, surface.mesh.bounds, defect=Defect("flat", 1))]
    hanging = np.zeros(len(surface.mesh.triangles), dtype=bool)
    if not parts:
        hanging = hanging_faces(surface.mesh)
        parts = outward_parts(Mesh(surface.mesh.vertices, surface.mesh.triangles[~hanging]))
    areas = np.array([part.mesh.area for part in parts])
    scraps = areas < _SCRAP * areas.max()
    # Parts that meet in vertices only are solids each by itself, and held against their own surface each.
    closed = [_closed(surface, part, part.mesh if len(parts) > 1 else surface.mesh, limits) for part in parts]
    found = [body for body, scrap in zip(closed, scraps, strict=True) if not scrap]
    rest = [body for body, scrap in zip(closed, scraps, strict=True) if scrap]
    lost = sum(each.triangles for each in rest if each.solid is None)
    first = found[0].mending
    if first is not None:
        walls = first.walls + int(hanging.sum())
        found[0] = replace(found[0], mending=replace(first, dropped=first.dropped + lost, walls=walls))
    return found + [each for each in rest if each.solid is not None]


def _closed(surface: Welded, part: Outward, own: Mesh, limits: Limits) -> Body:
    mesh = part.mesh.compact()
    body = Body(len(mesh.triangles), mesh.bounds)
    if part.one_sided:
        return replace(body, defect=Defect("one-sided", body.triangles))
    loops = boundary_loops(mesh)
    defect = why_no_solid(mesh, loops, limits.largest_hole)
    if defect is not None and defect.kind == "open sheet" and limits.open_back:
        closed_by = with_back(mesh, surface.mesh.crosses.sum(axis=0), limits)
    else:
        closed_by = defect or (mesh, fillings(mesh, loops))
    if isinstance(closed_by, Defect):
        return replace(body, defect=closed_by)
    mesh, fills = closed_by
    points = np.concatenate([mesh.vertices, *(fill.vertices for fill in fills)])
    filled = np.concatenate([np.zeros((0, 3), dtype=np.int64), *(fill.triangles for fill in fills)])
    closed = Mesh(points, np.concatenate([mesh.triangles, filled]))
    if is_flat(closed.volume, closed.area, float(mesh.size.max())):
        return replace(body, defect=Defect("flat", body.triangles))
    mending = Mending(
        "mended",
        merged=surface.merged,
        moved=surface.moved,
        dropped=surface.dropped,
        turned=part.turned,
        walls=part.walls,
        crowded=part.crowded,
        holes=tuple(_hole(points, fill) for fill in fills),
        before=None if loops else abs(closed.volume),
    )
    done = resolved(closed if closed.volume >= 0 else closed.flipped(), mending, limits.voxel)
    if done is None:
        return replace(body, defect=Defect("empty", body.triangles))
    return replace(body, solid=done[0], mending=measured(*done, own, Mesh(points, filled)))


def _hole(vertices: Floats, fill: Filling) -> ClosedHole:
    x, y, z = vertices[fill.triangles].mean(axis=(0, 1))
    return ClosedHole(fill.kind, fill.span, fill.area, fill.lift, (float(x), float(y), float(z)))
