"""Integrals over what closed outlines enclose, exact and in closed form.

Outlines are (n, 2) in mm, wound anticlockwise round material and clockwise round holes, so that holes take
themselves off. Every integral is a sum over edges, and holds for any shape and any origin.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import inside as inside

Outlines = Sequence[Floats]


@dataclass(frozen=True, eq=False)
class Moments:
    """Area (mm2), first moments (2,) (mm3) and second moments (2, 2) (mm4) about the origin."""

    area: float
    first: Floats
    second: Floats

    @property
    def matrix(self) -> Floats:
        """(3, 3): the integral of phi phi^T, phi = (1, x, y)."""
        whole = np.empty((3, 3))
        whole[0, 0] = self.area
        whole[0, 1:] = whole[1:, 0] = self.first
        whole[1:, 1:] = self.second
        return whole


def moments(outlines: Outlines) -> Moments:
    """Integrate 1, (x, y) and (x, y)^T (x, y) over what outlines enclose (Green's theorem)."""
    start, end = _edges(outlines)
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    both = start + end
    second = (both.T * cross) @ both + (start.T * cross) @ start + (end.T * cross) @ end
    return Moments(float(cross.sum()) / 2.0, cross @ both / 6.0, second / 24.0)


def distance_moments(outlines: Outlines) -> tuple[float, Floats]:
    """Integrate r and r (x, y), r the distance from the origin, over what outlines enclose: mm3 and mm4 (2,).

    Notes
    -----
    Each edge closes a triangle with the origin. In polar coordinates a triangle whose edge lies at the signed
    distance h gives r^3 / 3 and r^4 / 4 over the edge, with r^2 = h^2 + s^2 and d(angle) = h ds / r^2, so

        sum h / 3 [Phi(s)],    sum h / 4 [n h Phi(s) + t r^3 / 3],
        Phi(s) = (s r + h^2 asinh(s / |h|)) / 2,

    s along the edge's direction t, n its normal. For a ring it is 2 / 3 (R^3 - r^3) / (R^2 - r^2) times the
    area, as for a disk clutch under even pressure (Shigley, Mechanical Engineering Design, section 16-5).
    """
    start, end = _edges(outlines)
    along = end - start
    length = np.hypot(along[:, 0], along[:, 1])
    start, end, along, length = (each[length > 0] for each in (start, end, along, length))
    t = along / length[:, None]
    n = np.stack([t[:, 1], -t[:, 0]], axis=1)
    h = (start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]) / length
    s1, s2 = np.einsum("ij,ij->i", start, t), np.einsum("ij,ij->i", end, t)
    phi = _phi(s2, h) - _phi(s1, h)
    cubes = (h * h + s2 * s2) ** 1.5 - (h * h + s1 * s1) ** 1.5
    weighted = n * (h * phi)[:, None] + t * (cubes / 3.0)[:, None]
    return float(h @ phi) / 3.0, h @ weighted / 4.0


def clipped(outlines: Outlines, plane: Floats) -> list[Floats]:
    """Keep what lies where a + b x + c y >= 0, `plane` being (a, b, c).

    Where an outline comes back over the line, its parts stay joined along it: the area between is zero.
    """
    inner = []
    for outline in outlines:
        height = plane[0] + outline @ plane[1:]
        ahead, next_height = np.roll(outline, -1, axis=0), np.roll(height, -1)
        inside = height >= 0.0
        if inside.all():
            inner.append(outline)
            continue
        crosses = inside != (next_height >= 0.0)
        share = np.where(crosses, height / np.where(crosses, height - next_height, 1.0), 0.0)
        crossing = outline + share[:, None] * (ahead - outline)
        points = np.stack([outline, crossing], axis=1).reshape(-1, 2)
        shown = points[np.stack([inside, crosses], axis=1).reshape(-1)]
        if len(shown) >= 3:
            inner.append(shown)
    return inner


def _phi(s: Floats, h: Floats) -> Floats:
    away = np.where(h == 0.0, 1.0, np.abs(h))
    return np.asarray((s * np.hypot(s, h) + h * h * np.arcsinh(s / away)) / 2.0)


def _edges(outlines: Outlines) -> tuple[Floats, Floats]:
    if not outlines:
        return np.empty((0, 2)), np.empty((0, 2))
    return np.concatenate(list(outlines)), np.concatenate([np.roll(each, -1, axis=0) for each in outlines])
