"""Solids with known figures, for tests to work on."""

import numpy as np
from manifold3d import CrossSection, Manifold

from holdwright.geometry.mesh.solid import Solid


def block(x: float = 100.0, y: float = 80.0, z: float = 40.0) -> Solid:
    """A box centred in x and y, standing on z = 0."""
    return Solid.checked(Manifold.cube((x, y, z), True).translate((0, 0, z / 2)))


def sphere(radius: float = 50.0, segments: int = 128) -> Solid:
    """A ball round the origin."""
    return Solid.checked(Manifold.sphere(radius, segments))


def frustum(low: float, high: float, height: float, segments: int = 128) -> Solid:
    """A cone frustum about z, standing on z = 0."""
    return Solid.checked(Manifold.cylinder(height, low, high, segments))


def boulder(radius: float = 50.0, roughness: float = 0.2, seed: int = 1, segments: int = 64) -> Solid:
    """A lumpy ball: a sphere displaced by a few smooth waves, closed and free of self-overlap."""
    generator = np.random.default_rng(seed)
    waves = generator.normal(size=(4, 3)) * 2.0
    phases = generator.uniform(0, 2 * np.pi, size=4)

    def displace(points: np.ndarray) -> np.ndarray:
        unit = points / np.linalg.norm(points, axis=1, keepdims=True)
        bump = np.sin(unit @ waves.T + phases).sum(axis=1) / 4
        return unit * (radius * (1 + roughness * bump))[:, None]

    return Solid.checked(Manifold.sphere(radius, segments).warp_batch(displace))


def ring(outer: float = 40.0, inner: float = 20.0, height: float = 20.0, segments: int = 128) -> Solid:
    """A flat ring standing on z = 0."""
    section = CrossSection.circle(outer, segments) - CrossSection.circle(inner, segments)
    return Solid.checked(Manifold.extrude(section, height))
