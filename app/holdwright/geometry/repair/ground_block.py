"""Telling the ground block a sculpt stood on from the sculpt itself."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, OpType
from scipy.spatial import ConvexHull

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh, cross_products, lengths
from holdwright.geometry.mesh.solid import Solid

LEAST_FILL = 0.98
LARGEST_THICKNESS = 0.25
LEAST_COVER = 0.95
BLOCKY = 2_000
"""Triangles a block is looked for among before its solid is made: few do for a box."""
THINNEST = 1e9
"""Area cubed over volume squared of a sheet; a slab a hundred times as wide as thick has 8e4."""
LEAST_SPREAD = 300.0
"""Area cubed over volume squared: at least 432 for so thin a box, 216 for a cube, 113 for a ball."""


@dataclass(frozen=True, eq=False)
class Slab:
    """A solid that is a slab, its oriented box measured."""

    normal: Floats
    """(3,) unit vector across the thin direction."""
    across: Floats
    """(2, 3) unit vectors of that plane."""
    corners: Floats
    """(4, 2) corners of its footprint in the plane basis `across`."""
    low: float
    high: float
    """low and high: extent along `normal`."""


@dataclass(frozen=True, eq=False)
class GroundFace:
    """Which solid is a ground block, and its face toward the sculpt."""

    index: int
    point: Floats
    normal: Floats


def ground_blocks(solids: Sequence[Solid]) -> tuple[GroundFace, ...]:
    """Find the pieces that are ground blocks.

    A ground block fills at least 98 % of its oriented box, is at most a quarter as thick as its shorter side,
    covers at least 95 % of the others' footprint across its thin direction, and is never the only piece.
    """
    slabs = {index: slab for index, solid in enumerate(solids) if (slab := as_slab(solid)) is not None}
    found: list[GroundFace] = []
    remaining = set(range(len(solids)))
    for index in sorted(slabs, key=lambda index: -_rectangle_area(slabs[index].corners)):
        others = [solids[other] for other in sorted(remaining - {index})]
        if others and covered_share(slabs[index], others) >= LEAST_COVER:
            remaining.discard(index)
            found.append(_ground(index, slabs[index], others))
    return tuple(found)


def as_slab(solid: Solid | Mesh) -> Slab | None:
    """Measure a solid, or a closed mesh wound outward, as a slab; None when it is none.

    Area and volume alone turn round lumps away. Then the face normals' second moment, weighted by area, gives
    a box's three face areas as its eigenvalues and so its volume: a quick way to turn away all that is no box
    before its oriented box is measured.
    """
    if solid.area**3 < LEAST_SPREAD * solid.volume**2:
        return None
    double = cross_products(solid.vertices, solid.triangles)
    length = lengths(double)
    weighted = double / np.sqrt(np.where(length > 0, length, 1.0))[:, None]
    faces, axes = np.linalg.eigh(weighted.T @ weighted / 2)
    box_volume = float(np.sqrt(max(np.prod(faces), 0.0) / 8))
    if not 0.9 * box_volume <= solid.volume <= 1.1 * box_volume:
        return None
    return _measured_slab(solid, axes[:, 2])


def may_be_ground(surface: Mesh) -> bool:
    """Tell of a surface as it came, whichever way it is wound, whether it is small and a closed slab."""
    # Below four triangles nothing is closed.
    if not 4 <= len(surface.triangles) <= BLOCKY or surface.area**3 > THINNEST * surface.volume**2:
        return False
    slab = as_slab(surface if surface.volume > 0.0 else surface.flipped())
    return slab is not None and not len(surface.open_edges)


def _measured_slab(solid: Solid | Mesh, normal: Floats) -> Slab | None:
    along = solid.vertices @ normal
    low, high = float(along.min()), float(along.max())
    across = plane_basis(normal)
    corners = smallest_rectangle(solid.vertices @ across.T)
    sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    full = (high - low) * float(np.prod(sides))
    if solid.volume < LEAST_FILL * full or high - low > LARGEST_THICKNESS * float(sides.min()):
        return None
    return Slab(normal, across, corners, low, high)


def plane_basis(normal: Floats) -> Floats:
    """Give (2, 3) unit vectors square to `normal` and to each other."""
    start = np.eye(3)[int(np.argmin(np.abs(normal)))]
    first = np.cross(normal, start)
    first /= np.linalg.norm(first)
    return np.array([first, np.cross(normal, first)])


def smallest_rectangle(points: Floats) -> Floats:
    """Give the (4, 2) corners of the rectangle of least area round (n, 2) points.

    One side of it lies along a side of the points' convex hull (Freeman and Shapira, 1975).
    """
    outline = points[ConvexHull(points).vertices]
    sides = np.roll(outline, -1, axis=0) - outline
    angles = np.unique(np.mod(np.arctan2(sides[:, 1], sides[:, 0]), np.pi / 2))
    turns = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    first = outline @ turns.T
    second = outline @ np.stack([-turns[:, 1], turns[:, 0]])
    areas = np.ptp(first, axis=0) * np.ptp(second, axis=0)
    best = int(np.argmin(areas))
    frame = np.array([turns[best], [-turns[best, 1], turns[best, 0]]])
    (u0, v0), (u1, v1) = (outline @ frame.T).min(axis=0), (outline @ frame.T).max(axis=0)
    return np.asarray(np.array([[u0, v0], [u1, v0], [u1, v1], [u0, v1]]) @ frame)


def covered_share(slab: Slab, others: Sequence[Solid]) -> float:
    """Share of the others' common footprint, along the slab's thin direction, that the slab covers."""
    turned = placement(linear=np.vstack([slab.across, slab.normal]))
    footprint = CrossSection.batch_boolean(
        [solid.kernel.transform(turned[:3]).project() for solid in others], OpType.Add
    )
    whole = float(footprint.area())
    rectangle = CrossSection([slab.corners if _turns_left(slab.corners) else slab.corners[::-1]])
    return float((footprint ^ rectangle).area()) / whole if whole > 0 else 0.0


def _ground(index: int, slab: Slab, others: Sequence[Solid]) -> GroundFace:
    """Find on which side of the slab the sculpt stands: where more of its volume's middle lies."""
    weights = np.array([solid.volume for solid in others])
    middles = np.array([solid.bounds.mean(axis=0) @ slab.normal for solid in others])
    upward = float(weights @ middles / weights.sum()) >= (slab.low + slab.high) / 2
    normal = slab.normal if upward else -slab.normal
    centre = slab.corners.mean(axis=0) @ slab.across
    return GroundFace(index, centre + slab.normal * (slab.high if upward else slab.low), normal)


def _rectangle_area(corners: Floats) -> float:
    return float(np.prod(np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)))


def _turns_left(corners: Floats) -> bool:
    first, second = corners[1] - corners[0], corners[2] - corners[1]
    return bool(first[0] * second[1] - first[1] * second[0] > 0)
