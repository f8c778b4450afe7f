"""Fitting planes to flat and nearly flat areas of a rough surface."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.nearest import SurfacePoint
from holdwright.geometry.measure.surface_sample import SurfaceSample, whole_surface
from holdwright.geometry.mesh.connectivity import triangle_sets
from holdwright.geometry.mesh.solid import Solid

TOLERANCE = 0.0075
"""How far a nearly flat area may stray from its plane to either side, as a share of the span."""

_FACING = 0.5
_LEAST_TOLERANCE = 1e-4
_ROUNDS = 8


@dataclass(frozen=True, eq=False)
class Plane:
    """Points p with `normal` . p = `offset`; `normal` a unit (3,) vector out of the solid. mm."""

    normal: Floats
    offset: float


def fit_plane(points: Floats, weights: Floats, outward: Floats) -> Plane:
    """Fit a plane by weighted least squares of the distances to it.

    Parameters
    ----------
    points
        (n, 3) mm.
    weights
        (n,) not negative, not all zero.
    outward
        (3,) a vector on whose side the normal shall be.
    """
    middle = np.average(points, axis=0, weights=weights)
    spread = points - middle
    _, axes = np.linalg.eigh((spread * weights[:, None]).T @ spread)
    normal = axes[:, 0] if axes[:, 0] @ outward >= 0 else -axes[:, 0]
    return Plane(normal, float(normal @ middle))


def near_plane(sample: SurfaceSample, plane: Plane, tolerance: float) -> Mask:
    """Tell which triangles lie within `tolerance` mm of a plane and face the way it does."""
    low, high = sample.levels(plane.normal)
    level = (np.abs(low + high - 2 * plane.offset) <= 2 * tolerance) & (high - low <= 2 * tolerance)
    return np.asarray(level & (sample.normals @ plane.normal > _FACING))


def flat_share(sample: SurfaceSample, plane: Plane, tolerance: float) -> float:
    """Area of what lies near a plane, as the plane sees it, in mm2."""
    near = near_plane(sample, plane, tolerance)
    return float((sample.weights[near] * (sample.normals[near] @ plane.normal)).sum())


def settle_plane(sample: SurfaceSample, start: Plane, tolerance: float) -> Plane | None:
    """Lay a plane into the flat area near it.

    Refits to what lies within `tolerance` mm, then draws the tolerance in as far as the area's own roughness
    allows, so that a rounded edge does not tilt the plane of a clean flat.

    Returns
    -------
    Plane or None
        None when nothing flat is there.
    """
    plane = start
    for round_ in range(_ROUNDS):
        near = near_plane(sample, plane, tolerance)
        weights = np.repeat(sample.weights[near] * (sample.normals[near] @ plane.normal), 3)
        if not weights.sum() > 0.0:
            return None if round_ == 0 else plane
        points = sample.corners[near].reshape(-1, 3)
        plane = fit_plane(points, weights, plane.normal)
        if round_ >= _ROUNDS // 2 - 1:
            tolerance = _drawn_in(sample.span, plane, points, weights, tolerance)
    return plane


def outermost_flat(sample: SurfaceSample, direction: Floats, depth: float, tolerance: float) -> Plane | None:
    """Find the level of the largest flat area square to `direction`, among the outermost `depth` mm.

    A spike that stands out does not hide a flat behind it.
    """
    low, high = sample.levels(direction)
    middle = (low + high) / 2
    facing = sample.normals @ direction
    usable = (middle >= high.max() - depth) & (high - low <= 2 * tolerance) & (facing > _FACING)
    if not usable.any():
        return None
    order = np.argsort(middle[usable])
    level = middle[usable][order]
    total = np.concatenate([[0.0], np.cumsum((sample.weights * facing)[usable][order])])
    end = np.searchsorted(level, level + 2 * tolerance, side="right")
    best = int(np.argmax(total[end] - total[:-1]))
    return Plane(direction, float((level[best] + level[end[best] - 1]) / 2))


def flat_round(solid: Solid, seed: SurfacePoint) -> tuple[Plane, float]:
    """Fit the flat area round a point of the surface.

    Parameters
    ----------
    solid
        mm; tolerances are shares of its span.
    seed
        Where to start, from `nearest`.

    Returns
    -------
    plane
        Its normal out of the solid.
    area
        Connected flat area round the point, mm2.
    """
    surface = whole_surface(solid)
    tolerance = TOLERANCE * surface.span
    distance = np.linalg.norm(surface.middles - seed.point, axis=1)
    near = (distance < 4 * tolerance) & (surface.normals @ seed.normal > 0.7)
    near[seed.triangle] = True
    plane = fit_plane(surface.corners[near].reshape(-1, 3), np.repeat(surface.weights[near], 3), seed.normal)
    names = _around(surface, plane, 10 * tolerance, seed.triangle)
    part, first = surface.chosen(names), int(np.searchsorted(names, seed.triangle))
    area = 0.0
    for _ in range(_ROUNDS):
        near = near_plane(part, plane, tolerance)
        near[first] = True
        members = hanging_together(solid.triangles[names], np.flatnonzero(near), first)
        points, weights = part.corners[members].reshape(-1, 3), np.repeat(part.weights[members], 3)
        plane = fit_plane(points, weights, plane.normal)
        before, area = area, float(part.weights[members].sum())
        if abs(area - before) < 1e-6 * area:
            break
        tolerance = _drawn_in(surface.span, plane, points, weights, tolerance)
    return plane, area


def _around(surface: SurfaceSample, plane: Plane, depth: float, seed: int) -> Indices:
    """Numbers of the triangles within `depth` mm of a plane that face its way, the first among them."""
    low, high = surface.levels(plane.normal)
    near = (low > plane.offset - depth) & (high < plane.offset + depth)
    near &= surface.normals @ plane.normal > 0.0
    near[seed] = True
    return np.flatnonzero(near)


def _drawn_in(span: float, plane: Plane, points: Floats, weights: Floats, tolerance: float) -> float:
    """Three times the roughness of an area, but no more than before."""
    off = points @ plane.normal - plane.offset
    rough = 3.0 * float(np.sqrt(np.average(np.square(off), weights=weights)))
    return float(np.clip(rough, _LEAST_TOLERANCE * span, tolerance))


def hanging_together(triangles: Indices, chosen: Indices, seed: int) -> Indices:
    """Keep those of the chosen triangles that hang together with one of them.

    Parameters
    ----------
    triangles
        (m, 3) indices of vertices.
    chosen
        (k,) numbers of triangles, ascending.
    seed
        One of the chosen.
    """
    label = triangle_sets(triangles[chosen])
    return np.asarray(chosen[label == label[int(np.searchsorted(chosen, seed))]])
