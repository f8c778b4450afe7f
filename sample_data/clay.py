"""Clay for the samples: soft bodies given as fields, negative inside, and the quads that skin them.

Lengths in mm; on the wall up is +y, the wall is z = 0 and the hold grows to +z.
"""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Field = Callable[[Floats], Floats]


def pebble(centre: Sequence[float], radii: Sequence[float], power: float = 2.0) -> Field:
    """Give a superellipsoid: power 2 for an egg, more for a squarer stone."""
    middle, reach = np.array(centre, dtype=float), np.array(radii, dtype=float)

    def field(points: Floats) -> Floats:
        share = (np.abs((points - middle) / reach) ** power).sum(axis=-1) ** (1 / power)
        return (share - 1.0) * reach.min()

    return field


def roll(path: Sequence[Sequence[float]], radii: Sequence[float], samples: int = 36) -> Field:
    """Give a roll of clay along a smooth path, its radius changing along the way."""
    line = smooth_path(path, samples)
    radius = smooth_path(np.array(radii, dtype=float)[:, None], samples)[:, 0]

    def field(points: Floats) -> Floats:
        best = np.full(points.shape[:-1], np.inf)
        for a, b, ra, rb in zip(line[:-1], line[1:], radius[:-1], radius[1:], strict=True):
            along = b - a
            share = np.clip((points - a) @ along / (along @ along), 0.0, 1.0)
            away = np.linalg.norm(points - a - share[..., None] * along, axis=-1)
            best = np.minimum(best, away - (ra + share * (rb - ra)))
        return best

    return field


def joined(first: Field, second: Field, softness: float) -> Field:
    """Join two bodies, their joint smoothed over about `softness` mm (a cubic blend)."""

    def field(points: Floats) -> Floats:
        a, b = first(points), second(points)
        overlap = np.maximum(softness - np.abs(a - b), 0.0) / softness
        return np.minimum(a, b) - overlap**3 * softness / 6.0

    return field


def scooped(body: Field, spoon: Field, softness: float) -> Field:
    """Press the spoon's shape out of the body, the edge smoothed."""
    inverse = joined(lambda points: -body(points), spoon, softness)
    return lambda points: -inverse(points)


def standing(body: Field, depth: float, softness: float) -> Field:
    """Let the body sit on the block: flatten it `depth` mm below the block's face."""
    return scooped(body, lambda points: points[..., 2] + depth, softness)


def handmade(body: Field, generator: np.random.Generator, height: float, wavelength: float) -> Field:
    """Give the body the slight waves a hand leaves."""
    waves = generator.normal(size=(7, 3))
    waves *= (2 * np.pi / wavelength) / np.linalg.norm(waves, axis=1, keepdims=True)
    waves *= generator.uniform(0.6, 1.4, size=(7, 1))
    phase = generator.uniform(0, 2 * np.pi, size=7)
    return lambda points: body(points) + height * np.sin(points @ waves.T + phase).sum(axis=-1) / np.sqrt(7)


def smooth_path(points: Sequence[Sequence[float]] | Floats, samples: int) -> Floats:
    """Draw a Catmull-Rom curve through the points, as (samples + 1, n) points."""
    through = np.array(points, dtype=float)
    held = np.concatenate([[2 * through[0] - through[1]], through, [2 * through[-1] - through[-2]]])
    place = np.linspace(0.0, len(through) - 1.0, samples + 1)
    start = np.minimum(place.astype(int), len(through) - 2)
    t = (place - start)[:, None]
    p0, p1, p2, p3 = (held[start + k] for k in range(4))
    curve = (
        2 * p1 + (p2 - p0) * t + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t**2 + (3 * p1 - p0 - 3 * p2 + p3) * t**3
    )
    return np.asarray(curve / 2)


def slope(field: Field, points: Floats, reach: float = 0.05) -> Floats:
    """Give the field's gradient, by central differences."""
    steps = np.eye(3) * reach
    return np.stack([field(points + step) - field(points - step) for step in steps], axis=-1) / (2 * reach)


def settled(field: Field, points: Floats, depth: float | Floats = 0.0, rounds: int = 4) -> Floats:
    """Move points along the slope until they lie `depth` mm outside the body (negative: inside)."""
    for _ in range(rounds):
        gradient = slope(field, points)
        square = np.maximum((gradient**2).sum(axis=-1), 0.05)
        points = points - np.clip((field(points) - depth) / square, -3.0, 3.0)[..., None] * gradient
    return points


def skin(
    field: Field, low: Sequence[float], high: Sequence[float], step: float
) -> tuple[Floats, list[list[int]]]:
    """Skin a body with quads (a dual of the grid: Gibson, "Constrained elastic surface nets", 1998).

    Returns
    -------
    (n, 3) vertices and the quads, wound outward.
    """
    axes = [np.arange(a, b + step, step) for a, b in zip(low, high, strict=True)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    inside = np.stack([field(layer) for layer in grid]) < 0.0
    corners = sum(
        inside[i : i - 1 or None, j : j - 1 or None, k : k - 1 or None].astype(int)
        for i in (0, 1)
        for j in (0, 1)
        for k in (0, 1)
    )
    cells = (corners > 0) & (corners < 8)
    number = np.full(cells.shape, -1)
    number[cells] = np.arange(cells.sum())
    vertices = settled(field, grid[:-1, :-1, :-1][cells] + step / 2, rounds=8)
    quads: list[list[int]] = []
    for axis in range(3):
        quads += _quads_across(inside, number, axis).tolist()
    return vertices, quads


def _quads_across(inside: NDArray[np.bool_], number: NDArray[np.int64], axis: int) -> NDArray[np.int64]:
    """Put one quad round every grid edge along `axis` whose ends lie on either side of the skin."""
    turned, cells = np.moveaxis(inside, axis, 0), np.moveaxis(number, axis, 0)
    enters, leaves = turned[1:] & ~turned[:-1], turned[:-1] & ~turned[1:]
    found = []
    for crossing, outward in ((leaves, True), (enters, False)):
        i, j, k = np.nonzero(crossing[:, 1:-1, 1:-1])
        ring = [cells[i, j, k], cells[i, j + 1, k], cells[i, j + 1, k + 1], cells[i, j, k + 1]]
        if outward == (axis == 1):
            ring.reverse()
        found.append(np.stack(ring, axis=1))
    return np.concatenate(found)
