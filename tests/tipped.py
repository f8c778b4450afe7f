"""Solids with tips, ridges and lobes of known shape, for the tests of finding and cutting them."""

import math
from typing import Any

import numpy as np
from manifold3d import CrossSection, Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips.chamfer import TipCutting, cut_tips
from holdwright.geometry.tips.tip_search import Tip, TipSearch


def plate(radius: float = 45.0, height: float = 10.0) -> Manifold:
    """A flat round plate on z = 0."""
    return Manifold.cylinder(height, radius, radius, 128)


def cone(angle: float, height: float = 20.0, segments: int = 128) -> Manifold:
    """An upright cone of full apex angle `angle`, its apex at the origin, pointing up."""
    radius = height * math.tan(math.radians(angle / 2))
    return Manifold.cylinder(height, radius, 0.0, segments).translate((0, 0, -height))


def rounded_cone(angle: float, radius: float, height: float = 20.0, segments: int = 96) -> Manifold:
    """A cone whose apex is a ball of `radius`; the top of it at the origin."""
    half = math.radians(angle / 2)
    tangent = np.linspace(math.pi / 2, half, 24)
    curve = np.stack([radius * np.cos(tangent), radius * np.sin(tangent) - radius], axis=1)
    foot = curve[-1] + (height + curve[-1, 1]) * np.array([math.tan(half), -1.0])
    return Manifold.revolve(CrossSection([[(0.0, -height), *map(tuple, [foot, *curve[::-1]])]]), segments)


def standing(*tips: tuple[Manifold, float, float, float], on: Manifold | None = None) -> Solid:
    """A plate with tips on it, each moved so that its apex is at x, y, z."""
    body = plate() if on is None else on
    for shape, x, y, z in tips:
        body = body + shape.translate((x, y, z))
    return Solid.checked(body)


def sideways(angle: float, reach: float, z: float, rise: float = 0.0, azimuth: float = 0.0) -> Solid:
    """A plate with a cone that points along the wall, lifted by `rise` degrees; apex at radius `reach`."""
    spike = cone(angle, 35.0).rotate((0, 90 - rise, 0)).translate((reach, 0, z)).rotate((0, 0, azimuth))
    return Solid.checked((plate(45.0, 2 * z) + spike).trim_by_plane((0, 0, 1), 0))


def roof(angle: float, length: float = 60.0, height: float = 30.0) -> Manifold:
    """A roof of inner angle `angle` along y, its gables upright, standing on z = 0."""
    half = height * math.tan(math.radians(angle / 2))
    section = CrossSection([[(-half, 0.0), (half, 0.0), (0.0, height)]])
    return section.extrude(length).translate((0, 0, -length / 2)).rotate((90, 0, 0))


def ear(width: float = 24.0, thick: float = 10.0, height: float = 26.0) -> Manifold:
    """A pointed ear with sharp sides, its point at the origin, its blade along x."""
    base = [(-width / 2, 0, 0), (width / 2, 0, 0), (0, 0.7 * thick, 0), (0, -0.3 * thick, 0)]
    return Manifold.hull_points(np.array([*base, (0, 0, height)], dtype=np.float64)).translate(
        (0, 0, -height)
    )


def find_tips(solid: Solid, limit: float = 90.0, **search: Any) -> tuple[Tip, ...]:
    """Give the tips of a solid sharper than a cone of `limit` degrees."""
    return TipSearch(solid, **search).found(limit)[0]


def cut_tip(
    solid: Solid, place: np.ndarray, normal: np.ndarray, width: float = 8.0, deepest: float = 15.0
) -> tuple[Solid, TipCutting | None]:
    """Cut one tip blunt."""
    cut, (cutting,) = cut_tips(solid, [(place, (normal,))], width, deepest)
    return cut, cutting
