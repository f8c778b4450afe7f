"""How much shell lies over the core on the side that is gripped."""

import numpy as np

from holdwright.checks.check import Check, Checked, SurfaceMap
from holdwright.checks.faces import middles, outward
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.hole.grip_surface import Pocket
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.thickness import thinnest
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.feature import BackPocket, Collar
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import CORE, SHELL
from holdwright.progress import Progress

OFF = 0.01
"""Rays start so far out of the core, mm: within the shell that lies on it."""


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    core, requested = printed.core, printed.requested
    if core is None:
        return Checked(words="the hold has no core")
    solid_layers = (requested.top_layers + requested.bottom_layers) * requested.layer_height
    limit = max(requested.wall_lines * requested.line_width, solid_layers)
    cover = np.full(core.triangle_count, np.inf)
    within = np.flatnonzero(_within(printed, core.mesh))
    cover[within] = _cover_over(printed, core.mesh, within, 3.0 * limit, progress)
    least = thinnest(core, cover)
    found = SurfaceMap("core", cover, "mm", limit)
    if not np.isfinite(least.thickness):
        return Checked(None, limit, maps=(found,), words=f"more than {3.0 * limit:g} mm")
    low = least.thickness < limit
    findings = (new_finding("core_near_grip", least.thickness, limit, least.place),) if low else ()
    return Checked(least.thickness, limit, least.place, findings, (found,))


def _cover_over(printed: PrintedHold, mesh: Mesh, faces: Indices, reach: float, progress: Progress) -> Floats:
    """Measure the shell over faces (k,) of the core straight outward, as far as a reach in mm.

    Gives (k,) mm: 0 where the core lies open, infinite beyond the reach.
    """
    shell = printed.shell.mesh
    away, origins = outward(mesh, faces), middles(mesh, faces)
    distance, met = printed.tree(SHELL).first_hits(origins + OFF * away, away, reach, progress)
    leaves = np.einsum("ij,ij->i", shell.crosses[met], away) > 0.0
    covered = printed.at_other_part(CORE, faces)
    over = np.where(met < 0, np.inf, np.where(leaves, distance + OFF, 0.0))
    # What of the shell lies between two of the core's columns is not over it.
    ends = np.flatnonzero(leaves & (met >= 0))
    over[ends[printed.at_other_part(SHELL, met[ends])]] = np.inf
    return np.where(~covered, 0.0, over)


def _within(printed: PrintedHold, mesh: Mesh) -> Mask:
    """Tell which faces of the core lie in the hold: not the back, nor what is bored, nor a collar."""
    centres = mesh.corners.mean(axis=1)
    found = (centres[:, 2] > 1e-3) & (mesh.crosses[:, 2] > -0.9 * 2.0 * mesh.areas) & (mesh.areas > 0.0)
    collars = [Hole(each.x, each.y, 0.0, each.diameter, axis=each.axis) for each in printed.hold.find(Collar)]
    cuts: list[Pocket] = [*holes(printed.hold.features), *collars, *printed.hold.find(BackPocket)]
    for cut in cuts:
        found &= ~cut.on_surface(centres)
    return np.asarray(found)


CORE_COVER = Check(
    "core_near_grip",
    "Shell over the core",
    ("wall_lines", "line_width", "top_layers", "bottom_layers", "layer_height"),
    _look,
)
