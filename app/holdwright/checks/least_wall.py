"""Whether every wall is thick enough for its lines."""

from collections.abc import Iterator

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.faces import middles
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Indices, Mask
from holdwright.geometry.measure.thickness import Thinnest, Walls, near_walls, thinnest
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.finding_builder import new_finding
from holdwright.progress import Progress

REACH = 3.0
"""Walls are measured up to so many times the limit."""

_SLACK = 0.005
"""What the facets of round walls take of them, mm."""

_ON_HOLE = 0.05
"""Faces so near to a hole's surface are its own, mm."""


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    requested = printed.requested
    limit = requested.wall_lines * requested.line_width
    maps, findings, found = [], [], []
    for number, (name, solid) in enumerate(printed.parts.items()):
        stretch = progress.part(number / len(printed.parts), (number + 1) / len(printed.parts))
        walls = near_walls(solid, REACH * limit, requested.line_width, printed.tree(name), stretch)
        maps.append(SurfaceMap(name, walls.thickness, "mm", limit))
        thin = np.flatnonzero(walls.thickness < limit)
        for code, which in _kinds(printed, name, walls, thin):
            values = np.full(len(walls.thickness), np.inf)
            values[thin[which]] = walls.thickness[thin[which]]
            least = thinnest(solid, values)
            if least.thickness < limit - _SLACK:
                findings.append(new_finding(code, least.thickness, limit, least.place, part=name))
        found.append((thinnest(solid, walls.thickness), name))
    worst, part = min(found, key=_thickness)
    if not np.isfinite(worst.thickness):
        return Checked(None, limit, maps=tuple(maps), words=f"more than {REACH * limit:g} mm")
    return Checked(worst.thickness, limit, worst.place, tuple(findings), tuple(maps), part)


def _kinds(printed: PrintedHold, part: str, walls: Walls, thin: Indices) -> Iterator[tuple[str, Mask]]:
    """Sort thin faces (k,) into walls of the hold, those beside another part, and those round holes."""
    mesh, opposite = printed.parts[part].mesh, walls.opposite[thin]
    beside = printed.at_other_part(part, thin) | printed.at_other_part(part, opposite)
    at_hole = (_of_holes(printed, mesh, thin) | _of_holes(printed, mesh, opposite)) & ~beside
    yield "thin_wall", ~beside & ~at_hole
    yield "thin_wall:hole", at_hole
    yield "thin_wall:beside", beside


def _of_holes(printed: PrintedHold, mesh: Mesh, faces: Indices) -> Mask:
    """Tell which faces (k,) are the surface of a bolt's or screw's hole."""
    centres, found = middles(mesh, faces), np.zeros(len(faces), dtype=np.bool_)
    for hole in holes(printed.hold.features):
        found |= hole.on_surface(centres, _ON_HOLE)
    return found


def _thickness(each: tuple[Thinnest, str]) -> float:
    return each[0].thickness


WALL = Check("thin_wall", "Least wall", ("wall_lines", "line_width"), _look)
