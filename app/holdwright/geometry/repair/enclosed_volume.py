"""Making one solid of sheets, or loose faces, that do not join but enclose a space between them.

Where their winding number is above a half is inside. That may always be so somewhere, below a hilltop for
one; so what comes of it is held against the sheets: its surface has to be theirs nearly all over, and theirs
has to be its.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.arrays import Indices
from holdwright.geometry.measure.deviation import SurfacePoints, sampled
from holdwright.geometry.measure.occupancy import lattice_over
from holdwright.geometry.measure.winding_number import Numbers, winding
from holdwright.geometry.mesh.boolean import components, reassembled
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid, mesh_of
from holdwright.geometry.repair.face_orientation import outward_parts
from holdwright.geometry.repair.grid_rebuild import FINENESS, Rebuilt, netted
from holdwright.geometry.repair.overlap_detection import lines_through
from holdwright.geometry.repair.repair_account import Body, Mending
from holdwright.geometry.repair.self_overlap_repair import measured

_COARSE = 56.0
"""Voxels along the longest side at which it is found out whether anything is enclosed."""

_NEAR = 1.6
"""Surfaces within so many voxels of each other are the same."""

_OWN, _USED = 0.88, 0.9
"""Least share of the solid's surface that is the sheets', and of the sheets' that is the solid's."""

_SURE = 0.97
"""Once this much agrees, no other winding is tried."""

_MOST_POINTS = 8_000_000

_ODD = np.array([0.37, 0.73, 0.59])


@dataclass(frozen=True, eq=False)
class _Tried:
    surface: Mesh
    own: float
    used: float

    @property
    def worth(self) -> float:
        return self.own * self.used

    @property
    def good(self) -> bool:
        return self.own >= _OWN and self.used >= _USED


_NOTHING = _Tried(Mesh.of_corners(np.zeros((0, 3, 3))), 0.0, 0.0)


def one_of_sheets(sheets: Sequence[Mesh], voxel: float | None) -> Body | None:
    """Make one solid of sheets that enclose it together; None where they enclose nothing.

    Parameters
    ----------
    sheets
        Each connected, or a loose face; as wound as they may be.
    voxel
        Size of the grid's cells; by default a 120th of the extent.
    """
    whole = Mesh.joined(sheets)
    made = _made(sheets, whole, voxel)
    if made is None:
        return None
    solid = Solid(made.kernel)
    counted = float(lines_through([solid.mesh]).volume[0])
    account = Mending(
        "rebuilt", sheets=len(sheets), anew=1.0, voxel=made.voxel, after=solid.volume, counted=counted
    )
    account = measured(solid, account, whole, Mesh(whole.vertices, whole.triangles[:0]))
    return Body(len(whole.triangles), whole.bounds, solid, mending=account)


def _made(sheets: Sequence[Mesh], whole: Mesh, voxel: float | None) -> Rebuilt | None:
    """Make the solid with the first winding that is sure to enclose it, else with the best that does."""
    extent = float(whole.size.max())
    best = _NOTHING
    for wound in _windings(sheets, whole):
        best = max(best, _tried(wound, extent / _COARSE), key=lambda each: each.worth)
        if best.worth >= _SURE:
            break
    if not best.good:
        return None
    least = (float(np.prod(whole.size + extent / 10)) / _MOST_POINTS) ** (1 / 3)
    size = max(voxel or extent / FINENESS, least)
    kernel = _solid(best.surface, size)
    return None if kernel is None else Rebuilt(kernel, size)


def _windings(sheets: Sequence[Mesh], whole: Mesh) -> Iterator[Mesh]:
    """Wind sheets as they came, as most of each came, and so that most of each looks away from the middle."""
    yield whole
    yield whole.flipped()
    triangles, part = _alike(sheets)
    alike = Mesh(whole.vertices, triangles)
    yield alike
    yield alike.flipped()
    centres = alike.corners.mean(axis=1)
    away = np.einsum("ij,ij->i", centres - alike.areas @ centres / alike.area, alike.crosses)
    inward = np.bincount(part, weights=away) < 0
    yield Mesh(whole.vertices, np.where(inward[part][:, None], triangles[:, ::-1], triangles))


def _alike(sheets: Sequence[Mesh]) -> tuple[Indices, Indices]:
    """Wind each sheet alike all over, as most of it was; give its triangles and the part each is of."""
    whole = Mesh.joined(sheets)
    sheet_of = np.repeat(np.arange(len(sheets)), [len(sheet.vertices) for sheet in sheets])
    came = np.array([sheet.crosses.sum(axis=0) for sheet in sheets])
    parts: list[Indices] = []
    for each in (part.mesh for part in outward_parts(whole)):
        backward = each.crosses.sum(axis=0) @ came[sheet_of[each.triangles[0, 0]]] < 0
        parts.append(each.triangles[:, ::-1] if backward else each.triangles)
    return np.concatenate(parts), np.repeat(np.arange(len(parts)), [len(part) for part in parts])


def _solid(surface: Mesh, voxel: float) -> Manifold | None:
    # Set off by odd shares, so that no layer of points lies on an upright or level face of the sheets.
    low, high = surface.bounds[0] - voxel * _ODD, surface.bounds[1]
    lattice = lattice_over(low, high, voxel, 3.0 * voxel)
    inside = _evened(winding(lattice, surface)) > 0.5
    for axis in range(3):
        edge = np.moveaxis(inside, axis, 0)
        edge[[0, -1]] = False
    kernel = netted(lattice, inside, surface)
    return None if kernel is None else _borne_out(kernel, surface, voxel)


def _evened(numbers: Numbers) -> Numbers:
    """Mean of each point and its six neighbours: of whole numbers only lines one point wide are lost."""
    total = np.array(numbers)
    for axis in range(3):
        for step in (-1, 1):
            total += np.roll(numbers, step, axis)
    return total / np.float32(7.0)


def _borne_out(kernel: Manifold, surface: Mesh, voxel: float) -> Manifold:
    """Leave out surfaces that keep away from the sheets, where gaps let too many lines through."""
    surfaces = components(kernel)
    if len(surfaces) == 1:
        return kernel
    near = SurfacePoints(surface, voxel)
    kept = [
        each
        for each in surfaces
        if float(np.median(near.near(sampled(mesh_of(each), 200)).distance)) < _NEAR * voxel
    ]
    return kernel if len(kept) in (0, len(surfaces)) else reassembled(kept)


def _tried(sheets: Mesh, voxel: float) -> _Tried:
    kernel = _solid(sheets, voxel)
    if kernel is None:
        return _NOTHING
    solid = mesh_of(kernel)
    own = SurfacePoints(sheets, voxel).near(sampled(solid)).distance < _NEAR * voxel
    used = SurfacePoints(solid, voxel).near(sampled(sheets)).distance < _NEAR * voxel
    return _Tried(sheets, float(own.mean()), float(used.mean()))
