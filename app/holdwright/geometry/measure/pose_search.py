"""Many poses of one set of surface points on another at once: started, fitted, rated and thinned out.

Point-to-plane fitting: Y. Chen and G. Medioni, Object modelling by registration of multiple range images,
1992; trimmed as by D. Chetverikov et al., The trimmed iterative closest point algorithm, 2002; from both
sides, since points drawn to one surface alone shrink to a spot on it.
"""

from dataclasses import dataclass
from itertools import permutations, product

import numpy as np
from scipy.spatial.transform import Rotation

from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.measure.shape_points import ShapePoints

_AGREE = 0.2
"""Cosine between normals below which two points are not of the same place."""

KEPT = 0.85
"""Share of the pairs, the nearest, that a pose is fitted to."""

_SPREAD = 0.6
"""Share of all pairs whose distance is the measure of what lies well."""

LEAST = 3e-3
"""Share of the radius below which a distance still lies well."""

_NEAR = 0.1
"""Distance in radii beyond which a point counts as not met."""

_ROUNDS = ((250, 3, 40), (250, 8, 12), (600, 12, 5), (1500, 12, 5))
"""Points, fits, and poses left after them."""

_WIDE_ROUNDS = ((150, 3, 120), (150, 3, 120), (250, 8, 30), *_ROUNDS[2:])
_WIDE_TURNS, _WIDE_SIZES = 400, (0.85, 0.93, 1.0, 1.08)
"""The same where shapes that repeat themselves, or are much reworked, are sought more widely: turns by chance
(the same each time), each at several sizes."""

_SCALES = 0.5, 2.0
"""Least and greatest size of what fits, against what both radii say."""


@dataclass(frozen=True, eq=False)
class Poses:
    """Similarities x -> linear x + shift."""

    linear: Floats
    """(k, 3, 3): rotation times scale."""
    shift: Floats
    """(k, 3)."""

    @property
    def scale(self) -> Floats:
        """(k,) length ratio."""
        return np.asarray(np.cbrt(np.linalg.det(self.linear)))

    @property
    def rotation(self) -> Floats:
        """(k, 3, 3)."""
        return np.asarray(self.linear / self.scale[:, None, None])

    def moved(self, points: Floats) -> Floats:
        """Give (k, n, 3) what each pose makes of points (n, 3)."""
        return np.asarray(np.einsum("kij,nj->kni", self.linear, points) + self.shift[:, None])

    @classmethod
    def single(cls, matrix: Floats) -> "Poses":
        """Give the one pose of a (4, 4) similarity."""
        return cls(matrix[None, :3, :3], matrix[None, :3, 3])

    def chosen(self, which: Indices | list[int] | slice) -> "Poses":
        """Give some of them."""
        return Poses(self.linear[which], self.shift[which])

    def inverted(self) -> "Poses":
        """Give the poses that lead back."""
        back = np.linalg.inv(self.linear)
        return Poses(np.asarray(back, np.float64), -np.einsum("kij,kj->ki", back, self.shift))


@dataclass(frozen=True, eq=False)
class Pairs:
    """For each pose, points laid on the other surface and where they meet it."""

    at: Floats
    """(k, n, 3) points, moved."""
    normals: Floats
    """(k, n, 3) of the surface there."""
    off: Floats
    """(k, n) distance along the normal, outward positive."""
    distance: Floats
    """(k, n) to the point of the other set."""
    agree: Mask
    """(k, n) whether both surfaces face the same way."""


def found_poses(
    moving: ShapePoints, fixed: ShapePoints, *starts: Poses, wide: bool = False
) -> tuple[Poses, Floats]:
    """Find the poses in which one set of points lies well on another, the best first.

    Parameters
    ----------
    moving, fixed
        Both normalised.
    starts
        To be tried beside those that shape and a grid of turns suggest.
    wide
        Whether to try twenty times as many.

    Returns
    -------
    Some poses, and what of both surfaces each leaves unmet, 0 to 1.
    """
    tried = _joined(*starts, _turned(_axes_starts(moving, fixed)), _turned(Rotation.create_group("I")))
    if wide:
        turns = _turned(Rotation.random(_WIDE_TURNS, random_state=1))
        tried = _joined(tried, *(Poses(size * turns.linear, turns.shift) for size in _WIDE_SIZES))
    for points, fits, left in _WIDE_ROUNDS if wide else _ROUNDS:
        few, other = moving.thinned(points), fixed.thinned(points)
        for _ in range(fits):
            tried = fitted(tried, pairs(tried, few, other))
        unmet = rated(tried, few, other)
        # Four times as many as are left are enough to find doubles among.
        tried = _without_doubles(tried.chosen(np.argsort(unmet, kind="stable")[: 4 * left]))
        tried = tried.chosen(slice(0, left))
    return tried, rated(tried, few, other)


def pairs(poses: Poses, moving: ShapePoints, fixed: ShapePoints) -> Pairs:
    """Pair the points of both sets, from either side."""
    count, points = len(poses.shift), poses.moved(moving.points)
    rotation = poses.rotation
    ways = np.einsum("kij,nj->kni", rotation, moving.normals)
    gap, there = fixed.tree.query(points)
    facing = fixed.normals[there]
    off = np.einsum("kni,kni->kn", points - fixed.points[there], facing)
    agree = np.einsum("kni,kni->kn", ways, facing) > _AGREE
    back, here = moving.tree.query(poses.inverted().moved(fixed.points))
    rows = np.arange(count)[:, None]
    met, meeting = points[rows, here], ways[rows, here]
    off_back = np.einsum("kni,kni->kn", met - fixed.points, meeting)
    agree_back = np.einsum("kni,ni->kn", meeting, fixed.normals) > _AGREE
    return Pairs(
        np.concatenate([points, met], axis=1),
        np.concatenate([facing, meeting], axis=1),
        np.concatenate([off, off_back], axis=1),
        np.concatenate([gap, back * poses.scale[:, None]], axis=1),
        np.concatenate([agree, agree_back], axis=1),
    )


def fitted(poses: Poses, found: Pairs, least: float = LEAST, *, scaling: bool = True) -> Poses:
    """Move each pose by the small similarity, or rigid motion, that brings its pairs together best."""
    middle = found.at.mean(axis=1)
    arms = found.at - middle[:, None]
    stretch = np.einsum("kni,kni->kn", arms, found.normals)[..., None]
    rows = np.concatenate([np.cross(arms, found.normals), found.normals, stretch], axis=2)
    if not scaling:
        rows = rows[..., :6]
    weighed = rows * _weights(found, least)[..., None]
    normal = np.einsum("kni,knj->kij", weighed, rows)
    right = -np.einsum("kni,kn->ki", weighed, found.off)
    # Where a shape slides along itself nothing says how far: stay.
    size = np.trace(normal, axis1=1, axis2=2) / rows.shape[2]
    normal += (1e-9 * size + 1e-300)[:, None, None] * np.eye(rows.shape[2])
    step = np.linalg.solve(normal, right[..., None])[..., 0]
    turn = Rotation.from_rotvec(np.clip(step[:, :3], -0.5, 0.5)).as_matrix()
    grow = np.exp(np.clip(step[:, 6], -0.2, 0.2)) if scaling else np.ones(len(step))
    linear = grow[:, None, None] * turn
    shift = middle + step[:, 3:6] + np.einsum("kij,kj->ki", linear, poses.shift - middle)
    return Poses(linear @ poses.linear, shift)


def _weights(found: Pairs, least: float) -> Floats:
    """Weigh pairs (k, n): none for the farthest, little for what lies off the others' mean."""
    near = found.distance <= np.quantile(found.distance, KEPT, axis=1, keepdims=True)
    used = near & found.agree
    # Where most of a surface is one plane, which lies well at once, the rest must still have a say.
    off = np.sort(np.where(used, np.abs(found.off), 0.0), axis=1)
    spread = 3.0 * np.maximum(off[:, int(_SPREAD * off.shape[1]), None], least)
    return np.asarray(used / np.square(1.0 + np.square(found.off / spread)))


def rated(poses: Poses, moving: ShapePoints, fixed: ShapePoints) -> Floats:
    """Give what of both surfaces each pose leaves unmet (k,), 0 to 1."""
    found = pairs(poses, moving, fixed)
    met = found.agree & (found.distance < 3.0 * _NEAR)
    unmet = np.where(met, np.minimum(np.abs(found.off) / _NEAR, 1.0), 1.0).mean(axis=1)
    scale = poses.scale
    return np.asarray(np.where((scale > _SCALES[0]) & (scale < _SCALES[1]), unmet, 1.0))


def _axes_starts(moving: ShapePoints, fixed: ShapePoints) -> Rotation:
    """Turn principal axes on principal axes, in all 24 ways: those of nearly equal length may swap."""
    own, other = (np.linalg.eigh(each.points.T @ each.points)[1] for each in (moving, fixed))
    ways = []
    for order, signs in product(permutations(range(3)), product((-1.0, 1.0), repeat=3)):
        turn = other @ (np.diag(signs) @ np.eye(3)[list(order)]) @ own.T
        if np.linalg.det(turn) > 0.0:
            ways.append(turn)
    return Rotation.from_matrix(np.array(ways))


def _turned(turns: Rotation) -> Poses:
    return Poses(turns.as_matrix(), np.zeros((len(turns), 3)))


def _joined(*poses: Poses) -> Poses:
    return Poses(
        np.concatenate([each.linear for each in poses]), np.concatenate([each.shift for each in poses])
    )


def _without_doubles(poses: Poses) -> Poses:
    """Give the poses without those like one before them."""
    kept: list[int] = []
    for number, (linear, shift) in enumerate(zip(poses.linear, poses.shift, strict=True)):
        like = np.abs(poses.linear[kept] - linear).max(axis=(1, 2), initial=0.0)
        near = np.abs(poses.shift[kept] - shift).max(axis=1, initial=0.0)
        if not kept or (np.maximum(like, near) > 0.05).all():
            kept.append(number)
    return poses.chosen(kept)
