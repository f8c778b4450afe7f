"""Made-up raw sculpts of any size: a hundred overlapping blobs and strokes on a block, some inside out."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from holdwright.files.writing import rows_text

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]
Group = tuple[str, Floats, Indices]

BLOBS, STROKES = 65, 35

_LAID_OUT_BY = np.array([0.31, 0.17, 0.93])


CROSSING = 2_600
"""Triangles of a stroke that crosses itself, where that is more than its share."""


def rough_sculpt(triangles: int, seed: int = 7, *, on_block: bool = True, crossing: int = 0) -> list[Group]:
    """Give the groups of a sculpt 0.3 units across, y up, with about this many triangles in all.

    `crossing` strokes bend more tightly than they are thick, so that they cross themselves; no other does.
    """
    generator = np.random.default_rng(seed)
    each = triangles / (BLOBS + STROKES)
    fine = max(each, CROSSING)
    each = (triangles - crossing * fine) / (BLOBS + STROKES - crossing)
    groups: list[Group] = []
    for number in range(BLOBS):
        centre = _within_dome(generator)
        radii = generator.uniform(0.018, 0.045, size=3)
        groups.append((f"blob_{number}", *_blob(generator, each, centre, radii)))
    for number in range(STROKES):
        radius = generator.uniform(0.006, 0.014)
        tight = number < crossing
        corners = _bend(generator, radius, tight=tight)
        groups.append((f"stroke_{number}", *_stroke(fine if tight else each, corners, radius)))
    turned = generator.choice(len(groups), size=9, replace=False)
    groups = [
        (name, vertices, faces[:, ::-1] if number in turned else faces)
        for number, (name, vertices, faces) in enumerate(groups)
    ]
    ground = [("ground", *_slab((0.5, 0.05, 0.5), (0.0, -0.01, 0.0)))]
    return groups + (ground if on_block else [])


def write_sculpt(path: Path, groups: list[Group]) -> None:
    """Write groups as Wavefront OBJ."""
    first = 1
    with path.open("wb") as stream:
        for name, vertices, faces in groups:
            stream.write(f"o {name}\n".encode())
            for text in rows_text("v %.7f %.7f %.7f\n", vertices):
                stream.write(text)
            for text in rows_text("f %d %d %d\n", faces + first):
                stream.write(text)
            first += len(vertices)


def _bend(generator: np.random.Generator, radius: float, *, tight: bool) -> Floats:
    """Corners of a curve that bends wider than its tube is thick, or so tightly that it crosses itself."""
    while True:
        corners = np.array([_within_dome(generator) for _ in range(3)])
        second = 2 * (corners[0] - 2 * corners[1] + corners[2])
        first = 2 * (corners[1] - corners[0]) + np.linspace(0, 1, 101)[:, None] * second
        bend = np.linalg.norm(np.cross(first, second), axis=1) / np.linalg.norm(first, axis=1) ** 3
        ahead = first / np.linalg.norm(first, axis=1, keepdims=True)
        # Where a tube runs along the direction its rings are laid out by, they twist.
        twist = np.abs(ahead @ _LAID_OUT_BY).max() / np.linalg.norm(_LAID_OUT_BY)
        bent, inner = float(bend.max()) * radius, 30 <= int(bend.argmax()) <= 70
        if (inner and 3.0 < bent < 20.0 if tight else bent < 0.3) and twist < 0.9:
            return corners


def _within_dome(generator: np.random.Generator) -> Floats:
    """A place in a heap that is broadest on the ground."""
    x, z = generator.normal(size=2) * 0.045
    height = 0.09 * np.exp(-(x**2 + z**2) / (2 * 0.05**2))
    return np.array([x, generator.uniform(-0.01, 1.0) * height, z])


def _blob(
    generator: np.random.Generator, triangles: float, centre: Floats, radii: Floats
) -> tuple[Floats, Indices]:
    """An egg with smooth waves on it."""
    rings = max(int(np.sqrt(triangles / 4)), 3)
    polar, around = np.meshgrid(
        np.linspace(0, np.pi, rings + 1)[1:-1],
        np.linspace(0, 2 * np.pi, 2 * rings, endpoint=False),
        indexing="ij",
    )
    sphere = np.stack(
        [np.sin(polar) * np.cos(around), np.cos(polar), np.sin(polar) * np.sin(around)], axis=-1
    )
    points = np.vstack([[0, 1, 0], sphere.reshape(-1, 3), [0, -1, 0]])
    waves, phases = generator.normal(size=(5, 3)) * 3, generator.uniform(0, 2 * np.pi, size=5)
    bumps = 1 + 0.06 * np.sin(points @ waves.T + phases).sum(axis=1)
    return points * bumps[:, None] * radii + centre, _skin(rings - 1, 2 * rings)


def _stroke(triangles: float, corners: Floats, radius: float) -> tuple[Floats, Indices]:
    """A tube along a quadratic curve, tapered to both ends."""
    around = max(int(np.sqrt(triangles / 8)), 4)
    along = max(int(triangles / 2 / around), 4)
    share = np.linspace(0, 1, along)[:, None]
    line = (1 - share) ** 2 * corners[0] + 2 * share * (1 - share) * corners[1] + share**2 * corners[2]
    forward = np.gradient(line, axis=0)
    forward /= np.linalg.norm(forward, axis=1, keepdims=True)
    side = np.cross(forward, _LAID_OUT_BY)
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    up = np.cross(side, forward)
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)[None, :, None]
    reach = radius * (0.35 + 0.65 * np.sqrt(np.sin(np.pi * (0.02 + 0.96 * share))))[:, :, None]
    rings = line[:, None] + reach * (np.cos(angle) * side[:, None] - np.sin(angle) * up[:, None])
    points = np.vstack(
        [line[:1] - forward[:1] * radius * 0.3, rings.reshape(-1, 3), line[-1:] + forward[-1:] * radius * 0.3]
    )
    return points, _skin(along, around)


def _skin(rings: int, around: int) -> Indices:
    """Triangles over rings of points with one point before and one after them, outward."""
    row, column = np.meshgrid(np.arange(rings - 1), np.arange(around), indexing="ij")
    a, b = 1 + row * around + column, 1 + row * around + (column + 1) % around
    sides = np.concatenate([np.stack([a, b, b + around], -1), np.stack([a, b + around, a + around], -1)])
    last = 1 + rings * around
    edge = np.arange(around)
    after = (edge + 1) % around
    start = np.stack([np.zeros(around, int), 1 + after, 1 + edge], -1)
    end = np.stack([np.full(around, last), last - around + edge, last - around + after], -1)
    return np.concatenate([start, sides.reshape(-1, 3), end]).astype(np.int64)


def _slab(size: tuple[float, ...], top: tuple[float, ...]) -> tuple[Floats, Indices]:
    """A block whose upper face is centred at `top`."""
    corners = np.array([(x, y, z) for x in (-0.5, 0.5) for y in (-1.0, 0.0) for z in (-0.5, 0.5)])
    faces = [
        (0, 1, 3),
        (0, 3, 2),
        (4, 6, 7),
        (4, 7, 5),
        (0, 4, 5),
        (0, 5, 1),
        (2, 3, 7),
        (2, 7, 6),
        (0, 2, 6),
        (0, 6, 4),
        (1, 5, 7),
        (1, 7, 3),
    ]
    return corners * size + top, np.array(faces, dtype=np.int64)
