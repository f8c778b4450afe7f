"""A cone frustum about any axis: the shape a core is cut to, and how far points are from it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.circle import SEGMENTS, area_true_radius
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid


@dataclass(frozen=True)
class Frustum:
    """A frustum about an axis, given at two heights along it."""

    foot: tuple[float, float, float]
    """Point on the axis at height 0, mm."""
    axis: tuple[float, float, float]
    """Unit vector from the foot upward."""
    foot_radius: float
    top_radius: float
    """foot_radius and top_radius: radius at height 0 and at `top`, mm."""
    top: float
    """Height of its top, mm; above 0."""
    bottom: float = 0.0
    """Height of its lower end, mm; at most 0. The same cone goes on down to there."""

    def radius_at(self, height: float) -> float:
        """Radius at a height along the axis, mm."""
        return self.foot_radius + (self.top_radius - self.foot_radius) * height / self.top

    @cached_property
    def solid(self) -> Solid:
        """The frustum as a solid of 128 sides with the volume of the round one."""
        kernel = Manifold.cylinder(
            self.top - self.bottom,
            area_true_radius(self.radius_at(self.bottom)),
            area_true_radius(self.top_radius),
            SEGMENTS,
        ).translate((0.0, 0.0, self.bottom))
        turned = placement(turn_to(np.array(self.axis)), np.array(self.foot))
        return Solid.checked(kernel.transform(turned[:3]).as_original(), "the core's frustum")

    @property
    def bounds(self) -> Floats:
        """(2, 3) least and greatest corner, mm."""
        axis = np.array(self.axis)
        across = np.sqrt(np.maximum(1.0 - axis * axis, 0.0))
        low_end = np.array(self.foot) + self.bottom * axis
        high_end = np.array(self.foot) + self.top * axis
        low_spread, high_spread = self.radius_at(self.bottom) * across, self.top_radius * across
        return np.array(
            [
                np.minimum(low_end - low_spread, high_end - high_spread),
                np.maximum(low_end + low_spread, high_end + high_spread),
            ]
        )

    def distance(self, points: Floats) -> Floats:
        """Signed distance of points from the surface.

        Parameters
        ----------
        points
            (n, 3) float64, mm.

        Returns
        -------
        Floats
            (n,) mm, negative inside.
        """
        return self.distance_at(*self.seen_from_axis(points)[:2])

    def distance_at(self, radius: Floats, height: Floats) -> Floats:
        """Signed distance of points given by distance from the axis and height along it, (n,) mm each."""
        start, along, length = self._outline
        beyond = np.full(len(radius), -np.inf)
        square = np.full(len(radius), np.inf)
        for (out, low), (right, up), reach in zip(start, along, length[:, 0], strict=True):
            outward, upward = radius - out, height - low
            np.maximum(beyond, outward * up - upward * right, out=beyond)
            share = np.clip(outward * right + upward * up, 0.0, reach)
            outward -= share * right
            upward -= share * up
            np.minimum(square, outward * outward + upward * upward, out=square)
        return np.where(beyond <= 0.0, beyond, np.maximum(np.sqrt(square), 1e-12))

    def distance_and_gradient(self, points: Floats) -> tuple[Floats, Floats]:
        """Signed distance, and the direction in which it grows.

        The frustum is convex, hence so is its signed distance: the linear function that value and gradient
        give at one point is a lower bound of it everywhere.

        Returns
        -------
        tuple
            (n,) mm and (n, 3) unit vectors.
        """
        radius, height, outward = self.seen_from_axis(points)
        distance, sideways, upward = self._to_outline(radius, height)
        return distance, sideways[:, None] * outward + upward[:, None] * np.array(self.axis)

    def seen_from_axis(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Give distance from the axis, height along it (n,), and unit radial direction (n, 3) of points."""
        relative = points - np.array(self.foot)
        height = relative @ np.array(self.axis)
        outward = relative - height[:, None] * np.array(self.axis)
        radius = np.sqrt(np.einsum("ij,ij->i", outward, outward))
        return radius, height, outward / np.maximum(radius, 1e-12)[:, None]

    def _to_outline(self, radius: Floats, height: Floats) -> tuple[Floats, Floats, Floats]:
        """Signed distance in the half plane (radius, height), and the two parts of its gradient."""
        start, along, length = self._outline
        right, up = radius - start[:, :1], height - start[:, 1:]
        beyond = right * along[:, 1:] - up * along[:, :1]
        share = np.clip(right * along[:, :1] + up * along[:, 1:], 0.0, length)
        right -= share * along[:, :1]
        up -= share * along[:, 1:]
        gap = np.sqrt(right * right + up * up)
        point = np.arange(len(radius))
        nearest, deepest = np.argmin(gap, axis=0), np.argmax(beyond, axis=0)
        inside = beyond[deepest, point]
        outside = np.maximum(gap[nearest, point], 1e-12)
        within = inside <= 0.0
        return (
            np.where(within, inside, outside),
            np.where(within, along[deepest, 1], right[nearest, point] / outside),
            np.where(within, -along[deepest, 0], up[nearest, point] / outside),
        )

    @cached_property
    def _outline(self) -> tuple[Floats, Floats, Floats]:
        """Lower end, side and upper end in the half plane: starts, directions (3, 2) and lengths (3, 1)."""
        low, high = self.radius_at(self.bottom), self.top_radius
        corners = np.array([(0.0, self.bottom), (low, self.bottom), (high, self.top), (0.0, self.top)])
        edges = np.diff(corners, axis=0)
        length = np.hypot(edges[:, 0], edges[:, 1])[:, None]
        return corners[:-1], edges / length, length


def turn_to(axis: Floats) -> Floats:
    """Give the smallest rotation that takes +z to a unit vector: (3, 3); exactly the identity for +z itself.

    Rodrigues' formula with the axis z x `axis`; half a turn about x for -z.
    """
    x, y, z = axis
    if z < -1.0 + 1e-12:
        return np.diag([1.0, -1.0, -1.0])
    cross = np.array([[0.0, 0.0, x], [0.0, 0.0, y], [-x, -y, 0.0]])
    return np.asarray(np.eye(3) + cross + cross @ cross / (1.0 + z))
