"""What a sculptor adds to the clay: strokes drawn in the air, blobs, and the block it all stands on."""

from collections.abc import Sequence

import numpy as np
from clay import Floats

Polygons = tuple[Floats, list[list[int]]]


def stroke(
    line: Floats,
    radius: Floats,
    outline: Floats | None = None,
    tip: bool = False,
    facing: Floats | None = None,
) -> Polygons:
    """Draw a tube along a line: quads along it, one polygon at each end.

    Parameters
    ----------
    line
        (n, 3) points along the middle.
    radius
        (n,) radius at each.
    outline
        (k, 2) closed outline of the brush, about 1 across; round (24 corners) when None. A hollowed outline
        gives concave polygons at the ends.
    tip
        Whether the far end runs out into a point instead of a polygon.
    facing
        (n, 3) directions the brush's back faces (its hollow the other way); left to run without twist when
        None.
    """
    if outline is None:
        turn = np.arange(24) * (2 * np.pi / 24)
        outline = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    across, aside = _frames(line, facing)
    rings = line[:, None] + radius[:, None, None] * (
        outline[None, :, :1] * across[:, None] + outline[None, :, 1:] * aside[:, None]
    )
    count = len(outline)
    vertices = rings.reshape(-1, 3)
    faces = []
    for ring in range(len(line) - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            faces.append([a, b, b + count, a + count])
    faces.append(list(range(count))[::-1])
    last = (len(line) - 1) * count
    if tip:
        end = line[-1] + (line[-1] - line[-2]) / np.linalg.norm(line[-1] - line[-2]) * radius[-1] * 1.5
        vertices = np.concatenate([vertices, end[None]])
        faces += [[last + k, last + (k + 1) % count, len(vertices) - 1] for k in range(count)]
    else:
        faces.append([last + k for k in range(count)])
    return vertices, faces


def rounded(radius: float, count: int, taper: int = 5) -> Floats:
    """Radii of a stroke of `count` points that swells from and sinks to a fifth over `taper` points."""
    share = np.minimum(np.arange(count), np.arange(count)[::-1]) / taper
    return radius * (0.2 + 0.8 * np.sqrt(np.clip(1 - (1 - np.minimum(share, 1.0)) ** 2, 0, 1)))


def kidney(corners: int = 18) -> Floats:
    """Give the outline of a flat brush, hollow on one side."""
    turn = np.arange(corners) * (2 * np.pi / corners)
    hollow = 0.5 * np.exp(-((np.cos(turn)) ** 2) / 0.25) * (np.sin(turn) > 0)
    return np.stack([np.cos(turn), np.sin(turn) * (0.62 - hollow)], axis=1)


def blob(
    centre: Sequence[float],
    radii: Sequence[float],
    generator: np.random.Generator,
    waves: float = 0.05,
    divisions: int = 14,
) -> Polygons:
    """Give a displaced ball of quads: a cube's faces blown up to a sphere."""
    side = np.tan(np.linspace(-np.pi / 4, np.pi / 4, divisions + 1))
    u, v = np.meshgrid(side, side, indexing="ij")
    one = np.ones_like(u)
    sides = [(one, u, v), (-one, v, u), (v, one, u), (u, -one, v), (u, v, one), (v, u, -one)]
    index: dict[tuple[float, ...], int] = {}
    points: list[Floats] = []
    faces: list[list[int]] = []
    for three in sides:
        patch = np.stack(three, axis=-1)
        name = np.empty(patch.shape[:2], dtype=int)
        for at in np.ndindex(*name.shape):
            key = tuple(np.round(patch[at], 9) + 0.0)
            if key not in index:
                index[key] = len(points)
                points.append(patch[at] / np.linalg.norm(patch[at]))
            name[at] = index[key]
        for i, j in np.ndindex(divisions, divisions):
            faces.append([int(name[i, j]), int(name[i + 1, j]), int(name[i + 1, j + 1]), int(name[i, j + 1])])
    unit = np.array(points)
    push = generator.normal(size=(5, 3)) * 2.2
    bump = np.sin(unit @ push.T + generator.uniform(0, 6, size=5)).mean(axis=1)
    return np.array(centre) + unit * (1 + waves * 2 * bump)[:, None] * np.array(radii), faces


def slab(low: Sequence[float], high: Sequence[float]) -> Polygons:
    """Give the block a sculpt stands on: a box of six quads."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    corners = [
        [x0, y0, z0],
        [x1, y0, z0],
        [x1, y1, z0],
        [x0, y1, z0],
        [x0, y0, z1],
        [x1, y0, z1],
        [x1, y1, z1],
        [x0, y1, z1],
    ]
    faces = [[3, 2, 1, 0], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]]
    return np.array(corners, dtype=float), faces


def _frames(line: Floats, facing: Floats | None) -> tuple[Floats, Floats]:
    """Give two directions square to the line at each point: as faced, or carried along without twist."""
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    if facing is not None:
        across = np.cross(ahead, facing)
        across /= np.linalg.norm(across, axis=1, keepdims=True)
        return across, np.cross(ahead, across)
    first = np.cross(ahead[0], [0.0, 0.0, 1.0] if abs(ahead[0, 2]) < 0.9 else [0.0, 1.0, 0.0])
    across = np.empty_like(line)
    for k, forward in enumerate(ahead):
        first = first - forward * (first @ forward)
        first /= np.linalg.norm(first)
        across[k] = first
    return across, np.cross(ahead, across)
