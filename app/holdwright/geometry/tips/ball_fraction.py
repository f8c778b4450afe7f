"""The fraction of a small ball round each point of a surface that is solid: low where the surface is pointed.

Notes
-----
An integral invariant: Manay, Cremers, Hong, Yezzi & Soatto, "Integral invariants for shape matching", IEEE
TPAMI 28 (2006), and Pottmann, Wallner, Huang & Yang, "Integral invariants for robust geometry processing",
CAGD 26 (2009); both cited from memory. Unlike curvature it has a size built in, the ball's, and hardly cares
how a surface is meshed.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy import fft, ndimage

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.occupancy import Fractions, Lattice, filling, lattice_over
from holdwright.geometry.mesh.mesh import Mesh

FINENESS = 4
"""Steps of the lattice in the ball's radius, for finding; at an apex the lattice is four times finer."""

COLUMNS = 2
"""Columns along x and along y in each cell of the lattice: upright edges are seen by columns alone."""

MOST_SEARCHED = 12_000_000
"""Cells searched at once at most; on a larger hold the lattice is coarser, a still larger one is parted."""


@dataclass(frozen=True, eq=False)
class FractionField:
    """How much of the ball round each point of a lattice is solid."""

    lattice: Lattice
    """The points."""
    ball: float
    """Radius of the ball, mm."""
    fraction: Fractions
    """(nx, ny, nz) float32, from 0 to 1."""

    def at(self, points: Floats) -> Floats:
        """Give the fraction at (n, 3) points in mm, interpolated."""
        sampled = ndimage.map_coordinates(
            self.fraction, self.lattice.indices(points).T, order=1, mode="nearest"
        )
        return np.asarray(sampled, dtype=np.float64)


def fraction_field(surface: Mesh, ball: float, back: float | None) -> FractionField:
    """Measure the fraction over a whole solid.

    Parameters
    ----------
    surface
        The solid's, mm, outward.
    ball
        Radius, mm.
    back
        Height of the wall the solid stands on, mm: the solid counts as going on into it, so that the edge at
        the wall is no edge. None for a solid in free space.
    """
    low, high = np.array(surface.bounds)
    if back is not None:
        low[2] = max(low[2], back)
    spacing = max(ball / FINENESS, least_spacing(low, high, ball))
    lattice = lattice_over(low, high, spacing, margin=ball + spacing)
    solid = filling(lattice, surface, back, COLUMNS)
    return FractionField(lattice, ball, averaged(solid, ball_weights(ball, spacing)))


def least_spacing(low: Floats, high: Floats, ball: float) -> float:
    """Give the least spacing, mm, of a lattice over a box that has no more cells than are searched."""
    return float((np.prod(high - low + 2 * ball) / MOST_SEARCHED) ** (1.0 / 3.0))


def ball_weights(radius: float, spacing: float, finer: int = 4) -> Fractions:
    """Give the fraction of a ball that lies in each cell of a lattice round its middle point.

    Returns
    -------
    Fractions
        (2 k + 1,) * 3 float32 that add up to 1.
    """
    reach = math.ceil(radius / spacing + 0.5)
    line = np.arange(-reach, reach + 1)[:, None] + (np.arange(finer) + 0.5) / finer - 0.5
    square = (line.reshape(-1) * spacing) ** 2
    inside = square[:, None, None] + square[None, :, None] + square[None, None, :] <= radius * radius
    cells = 2 * reach + 1
    weights = inside.reshape(cells, finer, cells, finer, cells, finer).mean(axis=(1, 3, 5), dtype=np.float64)
    return np.asarray(weights / weights.sum(), dtype=np.float32)


def averaged(solid: Fractions, weights: Fractions) -> Fractions:
    """Convolve; the lattice's outermost cells see only what is on the lattice."""
    reach = weights.shape[0] // 2
    size = [fft.next_fast_len(int(n) + reach, real=True) for n in solid.shape]
    spectrum = fft.rfftn(solid, size, workers=-1)
    spectrum *= fft.rfftn(weights, size, workers=-1)
    whole = fft.irfftn(spectrum, size, workers=-1)
    return np.asarray(whole[tuple(slice(reach, reach + n) for n in solid.shape)])


def cone_angle(fraction: float) -> float:
    """Give the full apex angle, degrees, of the cone that fills `fraction` of a ball round its apex."""
    return math.degrees(2.0 * math.acos(min(max(1.0 - 2.0 * fraction, -1.0), 1.0)))


def cone_fraction(angle: float) -> float:
    """Give the fraction of a ball round its apex that a cone of full apex angle `angle` (degrees) fills."""
    return (1.0 - math.cos(math.radians(angle) / 2.0)) / 2.0
