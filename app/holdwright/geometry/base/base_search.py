"""Finding the base: the side a hold was meant to meet the wall with."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.base.planar_regions import (
    TOLERANCE,
    Plane,
    flat_share,
    near_plane,
    outermost_flat,
    settle_plane,
)
from holdwright.geometry.measure.surface_sample import SurfaceSample, sample_surface
from holdwright.geometry.mesh.solid import Solid

_CANDIDATES = 20
_FITTED = 6
_SPREAD = np.cos(np.radians(6.0))
_APART = np.cos(np.radians(20.0))
_DEPTH = 0.03
_CELLS = 48
_FLAT_SHARE, _RING_FLAT, _RING_SUPPORT = 0.3, 0.1, 0.6
_PREFERRED = np.array([0.0, -0.4, -0.9])
_PREFERENCE = 0.02


@dataclass(frozen=True, eq=False)
class Base:
    """A side that may be the base."""

    normal: Floats
    """(3,) unit vector out of the solid, toward the wall."""
    how: Literal["flat", "rest"]
    """Either "flat": a flat area; "rest": the solid would come to rest on it."""
    area: float
    """Flat area in mm2; for a rest, the area it stands on."""
    score: float
    """Weight of the evidence; comparable within one `how` alone."""


def bases(solid: Solid) -> tuple[Base, ...]:
    """Find the sides that may be the base, likeliest first.

    Parameters
    ----------
    solid
        Of any size and turning; tolerances are shares of its span.

    Returns
    -------
    tuple of Base
        At least one; no two within 20 degrees of each other.

    Raises
    ------
    GeometryError
        When the solid is too thin to have a convex hull.

    Notes
    -----
    A base is flat or nearly so and lies outermost. Candidate directions are the large facets of the convex
    hull; for each, the level is sought at which most surface lies within 0.75 % of the span, and a plane is
    laid into it. A flat counts with its own area and half the area it spans, so that a hollow back that meets
    the wall with its rim counts too. Where nothing is flat enough, sides are ranked by the solid angle under
    which the centre of gravity sees them, which is how likely a thrown body comes to rest on them to first
    order. Sides alike to 2 % are told apart by the file's axes: first the one that faces -z, then -y.
    """
    sample = sample_surface(solid)
    hull = _Hull(sample)
    directions = hull.directions()
    flats = _flats(sample, hull, directions)
    return _apart(flats if flats else _rests(sample, hull, directions))


class _Hull:
    """Facets of the convex hull of a sample: normals (f, 3), areas (f,) and corners (f, 3, 3)."""

    def __init__(self, sample: SurfaceSample) -> None:
        points = outermost_points(sample.points)
        try:
            hull = ConvexHull(points)
        except QhullError:
            raise GeometryError(
                "The sculpt is too thin for a back to be found; check it, or pick the back by hand."
            ) from None
        self.points = points[hull.vertices]
        self.corners = points[hull.simplices]
        self.normals = hull.equations[:, :3]
        across = np.cross(self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0])
        self.areas = np.linalg.norm(across, axis=1) / 2

    def directions(self) -> Floats:
        """(k, 3) unit normals of groups of facets within 6 degrees, those of large area first."""
        left = self.areas.copy()
        groups: list[tuple[float, Floats]] = []
        while len(groups) < _CANDIDATES and left.max() > 0.0:
            seed = int(np.argmax(left))
            members = (self.normals @ self.normals[seed] > _SPREAD) & (left > 0.0)
            weights = np.square(self.areas[members])
            total = weights @ self.normals[members]
            groups.append((float(self.areas[members].sum()), total / np.linalg.norm(total)))
            left[members] = 0.0
        groups.sort(key=lambda group: -group[0])
        return np.array([direction for _, direction in groups])

    def footprint(self, direction: Floats) -> float:
        """Area of the hull's shadow along a direction, mm2."""
        return float(self.areas @ np.abs(self.normals @ direction)) / 2


def outermost_points(points: Floats) -> Floats:
    """Thin points out to those farthest from their middle in each of some 14 000 directions.

    Keeps a convex hull cheap on a surface that is convex all over; corners of the hull always stay.
    """
    if len(points) <= _CELLS * _CELLS * 6:
        return points
    ray = points - (points.min(axis=0) + points.max(axis=0)) / 2
    axis = np.argmax(np.abs(ray), axis=1)
    row = np.arange(len(ray))
    main = ray[row, axis]
    others = np.stack([ray[row, (axis + 1) % 3], ray[row, (axis + 2) % 3]], axis=1) / np.abs(main)[:, None]
    cell = np.minimum(((others + 1.0) * (_CELLS / 2)).astype(np.int64), _CELLS - 1)
    name = ((axis * 2 + (main > 0)) * _CELLS + cell[:, 0]) * _CELLS + cell[:, 1]
    farthest = np.full(6 * _CELLS * _CELLS, -1)
    order = np.argsort(np.einsum("ij,ij->i", ray, ray))
    farthest[name[order]] = order  # of equal names the last, the farthest, stays
    return np.asarray(points[farthest[farthest >= 0]])


def _flats(sample: SurfaceSample, hull: _Hull, directions: Floats) -> list[Base]:
    tolerance = TOLERANCE * sample.span
    starts = []
    for direction in directions:
        plane = outermost_flat(sample, direction, _DEPTH * sample.span, tolerance)
        if plane is not None:
            starts.append((flat_share(sample, plane, 2 * tolerance), plane))
    starts.sort(key=lambda start: -start[0])
    found = []
    for _, start in starts[:_FITTED]:
        base = _flat(sample, hull, start, tolerance)
        if base is not None:
            found.append(base)
    return found


def _flat(sample: SurfaceSample, hull: _Hull, start: Plane, tolerance: float) -> Base | None:
    """Lay a plane into a candidate and weigh it; None when it is not flat enough, or not outermost."""
    plane = settle_plane(sample, start, 2 * tolerance)
    if plane is None or float((hull.points @ plane.normal).max()) - plane.offset > _DEPTH * sample.span:
        return None
    near = near_plane(sample, plane, tolerance)
    if not near.any():
        return None
    support = _spanned(sample.corners[near].reshape(-1, 3), plane.normal)
    area = min(flat_share(sample, plane, tolerance), support)  # folds of a rough surface count but once
    footprint = hull.footprint(plane.normal)
    ring = area >= _RING_FLAT * footprint and support >= _RING_SUPPORT * footprint
    if area < _FLAT_SHARE * footprint and not ring:
        return None
    return Base(plane.normal, "flat", area, area + 0.5 * support)


def _rests(sample: SurfaceSample, hull: _Hull, directions: Floats) -> list[Base]:
    """Weigh each group of hull facets by the solid angle it is seen under from the centre of gravity."""
    angles = solid_angles(hull.corners - sample.centroid)
    found = []
    for direction in directions:
        members = hull.normals @ direction > _SPREAD
        found.append(
            Base(
                direction,
                "rest",
                float(hull.areas[members].sum()),
                float(angles[members].sum()) / (4 * np.pi),
            )
        )
    return found


def solid_angles(corners: Floats) -> Floats:
    """Solid angle in steradians under which the origin sees each of (n, 3, 3) triangles.

    Notes
    -----
    A. Van Oosterom and J. Strackee, "The solid angle of a plane triangle" (1983).
    """
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
    numerator = np.abs(np.einsum("ij,ij->i", a, np.cross(b, c)))
    dots = [np.einsum("ij,ij->i", p, q) for p, q in ((a, b), (a, c), (b, c))]
    return np.asarray(2.0 * np.arctan2(numerator, la * lb * lc + dots[0] * lc + dots[1] * lb + dots[2] * la))


def _spanned(points: Floats, normal: Floats) -> float:
    """Area of the convex outline of points seen along a normal, mm2."""
    across = np.linalg.svd(normal[None])[2][1:]
    try:
        return float(ConvexHull(points @ across.T).volume)  # of a plane hull the volume is the area
    except QhullError:  # all on one line
        return 0.0


def _apart(found: list[Base]) -> tuple[Base, ...]:
    """Rank by score, dropping what is within 20 degrees of a better one."""
    ranked: list[Base] = []
    for base in sorted(
        found, key=lambda base: -base.score * (1 + _PREFERENCE * float(base.normal @ _PREFERRED))
    ):
        if all(base.normal @ better.normal < _APART for better in ranked):
            ranked.append(base)
    return tuple(ranked)
