"""How far two outlines are from each other, and what lies within one."""

import numpy as np

from holdwright.geometry.arrays import Floats, Mask


def clearance_between(one: Floats, other: Floats) -> float:
    """Give the least distance of two closed outlines (n, 2), mm; 0 where they meet or one holds the other."""
    if (one.min(axis=0) > other.max(axis=0)).any() or (other.min(axis=0) > one.max(axis=0)).any():
        return _distance(one, other)
    if inside(one, other[:1])[0] or inside(other, one[:1])[0] or _cross(one, other):
        return 0.0
    return _distance(one, other)


def inside(outline: Floats, points: Floats) -> Mask:
    """Tell which points (m, 2) lie within a closed outline (n, 2), by how often a ray crosses it."""
    start, end = outline, np.roll(outline, -1, axis=0)
    x, y = points[:, :1], points[:, 1:]
    spans = (start[:, 1] > y) != (end[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = start[:, 0] + (y - start[:, 1]) * (end[:, 0] - start[:, 0]) / (end[:, 1] - start[:, 1])
    return np.asarray((spans & (x < at)).sum(axis=1) % 2 == 1)


def _distance(one: Floats, other: Floats) -> float:
    """Least distance of corners to edges, both ways: that of outlines that do not cross."""
    return float(np.sqrt(min(_squared(one, other), _squared(other, one))))


def _squared(points: Floats, outline: Floats) -> float:
    start = outline
    way = np.roll(outline, -1, axis=0) - start
    length = np.maximum((way * way).sum(axis=1), 1e-300)
    to = points[:, None, :] - start[None]
    share = np.clip((to * way).sum(axis=2) / length, 0.0, 1.0)
    off = to - share[..., None] * way
    return float((off * off).sum(axis=2).min())


def _cross(one: Floats, other: Floats) -> bool:
    a, b = one[:, None], np.roll(one, -1, axis=0)[:, None]
    c, d = other[None], np.roll(other, -1, axis=0)[None]
    sides = _side(a, b, c) * _side(a, b, d), _side(c, d, a) * _side(c, d, b)
    return bool(((sides[0] < 0.0) & (sides[1] < 0.0)).any())


def _side(a: Floats, b: Floats, c: Floats) -> Floats:
    ab, ac = b - a, c - a
    return np.asarray(ab[..., 0] * ac[..., 1] - ab[..., 1] * ac[..., 0])
