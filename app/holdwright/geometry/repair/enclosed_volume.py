"""Making one solid of sheets, or loose faces, that do not join but enclose a space between them.

Where their winding number is above a half is inside. That may always be so somewhere, below a hilltop for
one; so what comes of it is held against the sheets: its surface has to be theirs nearly all over, and theirs
has to be its.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.deviation import SurfacePoints, sampled
from holdwright.geometry.measure.occupancy import lattice_over
from holdwright.geometry.measure.winding_number import Numbers, winding
from holdwright.geometry.mesh.boolean import reassembled
from holdwright.geometry.mesh.components import components
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.mesh.weld import together
from holdwright.geometry.repair.face_orientation import outward_parts
from holdwright.geometry.repair.grid_rebuild import FINENESS, Rebuilt, netted
from holdwright.geometry.repair.overlap_removal import measured
from holdwright.geometry.repair.repair_account import Mended, Mending
from holdwright.geometry.repair.self_overlap import arrays_of, lines_through

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


Surface = tuple[Floats, Indices]


@dataclass(frozen=True, eq=False)
class _Tried:
    faces: Indices
    own: float
    used: float

    @property
    def worth(self) -> float:
        return self.own * self.used

    @property
    def good(self) -> bool:
        return self.own >= _OWN and self.used >= _USED


_NOTHING = _Tried(np.zeros((0, 3), dtype=np.int64), 0.0, 0.0)


def one_of_sheets(sheets: Sequence[Surface], voxel: float | None) -> Mended | None:
    """Make one solid of sheets that enclose it together; None where they enclose nothing.

    Parameters
    ----------
    sheets
        Each connected, or a loose face; as wound as they may be.
    voxel
        Size of the grid's cells; by default a 120th of the extent.
    """
    vertices, triangles = together(sheets)
    made = _made(sheets, vertices, triangles, voxel)
    if made is None:
        return None
    solid = Solid(made.kernel)
    counted = float(lines_through([(solid.vertices, solid.triangles)]).volume[0])
    account = Mending(
        "rebuilt", sheets=len(sheets), anew=1.0, voxel=made.voxel, after=solid.volume, counted=counted
    )
    nothing = (vertices, np.zeros((0, 3), dtype=np.int64))
    bounds = np.array([vertices.min(axis=0), vertices.max(axis=0)])
    return Mended(len(triangles), bounds, solid, "", measured(solid, account, (vertices, triangles), nothing))


def _made(
    sheets: Sequence[Surface], vertices: Floats, triangles: Indices, voxel: float | None
) -> Rebuilt | None:
    """Make the solid with the first winding that is sure to enclose it, else with the best that does."""
    extent = float(np.ptp(vertices, axis=0).max())
    best = _NOTHING
    for wound in _windings(sheets, vertices, triangles):
        best = max(best, _tried(vertices, wound, extent / _COARSE), key=lambda each: each.worth)
        if best.worth >= _SURE:
            break
    if not best.good:
        return None
    least = (float(np.prod(np.ptp(vertices, axis=0) + extent / 10)) / _MOST_POINTS) ** (1 / 3)
    size = max(voxel or extent / FINENESS, least)
    kernel = _solid(vertices, best.faces, size)
    return None if kernel is None else Rebuilt(kernel, size)


def _windings(sheets: Sequence[Surface], vertices: Floats, triangles: Indices) -> Iterator[Indices]:
    """Wind sheets as they came, as most of each came, and so that most of each looks away from the middle."""
    yield triangles
    yield triangles[:, ::-1]
    alike, part = _alike(sheets)
    yield alike
    yield alike[:, ::-1]
    across = _across(vertices, alike)
    area = np.linalg.norm(across, axis=1)
    centres = vertices[alike].mean(axis=1)
    away = np.einsum("ij,ij->i", centres - area @ centres / area.sum(), across)
    inward = np.bincount(part, weights=away) < 0
    yield np.where(inward[part][:, None], alike[:, ::-1], alike)


def _alike(sheets: Sequence[Surface]) -> tuple[Indices, Indices]:
    """Wind each sheet alike all over, as most of it was; give its triangles and the part each is of."""
    parts: list[Indices] = []
    first = 0
    for vertices, triangles in sheets:
        came = _across(vertices, triangles).sum(axis=0)
        for each in outward_parts(vertices, triangles) if len(triangles) > 1 else ():
            turned = _across(vertices, each.triangles).sum(axis=0) @ came < 0
            parts.append(first + (each.triangles[:, ::-1] if turned else each.triangles))
        if len(triangles) == 1:
            parts.append(first + triangles)
        first += len(vertices)
    return np.concatenate(parts), np.repeat(np.arange(len(parts)), [len(part) for part in parts])


def _across(vertices: Floats, triangles: Indices) -> Floats:
    a, b, c = (vertices[triangles[:, corner]] for corner in range(3))
    return np.cross(b - a, c - a)


def _solid(vertices: Floats, triangles: Indices, voxel: float) -> Manifold | None:
    # Set off by odd shares, so that no layer of points lies on an upright or level face of the sheets.
    low, high = vertices.min(axis=0) - voxel * _ODD, vertices.max(axis=0)
    lattice = lattice_over(low, high, voxel, 3.0 * voxel)
    inside = _evened(winding(lattice, vertices, triangles)) > 0.5
    for axis in range(3):
        edge = np.moveaxis(inside, axis, 0)
        edge[[0, -1]] = False
    kernel = netted(lattice, inside, vertices, triangles)
    return None if kernel is None else _borne_out(kernel, vertices, triangles, voxel)


def _evened(numbers: Numbers) -> Numbers:
    """Mean of each point and its six neighbours: of whole numbers only lines one point wide are lost."""
    total = np.array(numbers)
    for axis in range(3):
        for step in (-1, 1):
            total += np.roll(numbers, step, axis)
    return total / np.float32(7.0)


def _borne_out(kernel: Manifold, vertices: Floats, triangles: Indices, voxel: float) -> Manifold:
    """Leave out surfaces that keep away from the sheets, where gaps let too many lines through."""
    surfaces = components(kernel)
    if len(surfaces) == 1:
        return kernel
    near = SurfacePoints(vertices, triangles, voxel)
    kept = [
        each
        for each in surfaces
        if float(np.median(near.near(sampled(*arrays_of(each), 200)).distance)) < _NEAR * voxel
    ]
    return kernel if len(kept) in (0, len(surfaces)) else reassembled(kept)


def _tried(vertices: Floats, triangles: Indices, voxel: float) -> _Tried:
    kernel = _solid(vertices, triangles, voxel)
    if kernel is None:
        return _NOTHING
    surface = arrays_of(kernel)
    sheets = SurfacePoints(vertices, triangles, voxel).near(sampled(*surface)).distance
    solid = SurfacePoints(*surface, voxel).near(sampled(vertices, triangles)).distance
    return _Tried(triangles, float((sheets < _NEAR * voxel).mean()), float((solid < _NEAR * voxel).mean()))
