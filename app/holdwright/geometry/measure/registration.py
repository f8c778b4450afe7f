"""Laying a surface on another one that it is a moved, turned, rescaled and perhaps reworked copy of."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import FINENESS, SurfacePoints
from holdwright.geometry.measure.pose_search import KEPT, LEAST, Pairs, Poses, fitted, found_poses
from holdwright.geometry.measure.roundness import least_turned, slipping_axes
from holdwright.geometry.measure.shape_points import REMEMBERED, ShapePoints, shape_points
from holdwright.geometry.mesh.frame import move_points, placement, scale_of
from holdwright.geometry.mesh.mesh import Mesh, lengths

MEETS: Final = 0.02
"""Share of a surface's radius within which another one meets it."""

SAME: Final = 0.5
"""Share of both surfaces that must meet for one to be the other's copy."""

WORTH_MORE: Final = 0.2
"""Share from which on it may be one whose pose was not found; of other surfaces, few meet as much."""

_AT_REST: Final = 3e-4
"""Motions that move nothing by more than this share of the radius are none."""

_ALIKE: Final = 1.15
"""Poses that leave no more than so many times as much unmet fit as well."""

_WORTH_FITTING: Final = 1.6
"""The same, of poses as first found, by few points: what they leave unmet is much by chance."""

_EVEN: Final = 2e-5
"""Share of the radius by which residuals of such poses may differ besides."""

_APART: Final = 5.0
"""Degrees beyond which they are told from each other."""

_FITS = 12


@dataclass(frozen=True, eq=False)
class Registration:
    """How a new surface lies to an old one."""

    placement: Floats
    """(4, 4) similarity that brings the new surface back on the old one; the identity where it lies there."""
    moved: float
    """How far the old surface's middle has moved, in the old one's unit."""
    turned: float
    """By how many degrees it has turned about its middle."""
    scaled: float
    """How many times as large as the old one the new one is."""
    residual: float
    """Mean distance of the old points, the 15 % farthest aside, from the new surface once it is back; in
    the old one's unit."""
    meeting: float
    """Share of both surfaces that then meet within `MEETS`: the confidence, 0 to 1."""
    rival: float | None = None
    """By how many degrees another pose is turned that fits as well, as of a symmetrical shape."""
    undecided: bool = False
    """Whether the shape is round, so that any turn about an axis fits: then the least one was taken."""

    @property
    def is_same(self) -> bool:
        """Whether the new surface may be a copy of the old one at all."""
        return self.meeting >= SAME

    @property
    def scaled_much(self) -> bool:
        """Whether its size differs by more than a figure of four digits shows."""
        return abs(self.scaled - 1.0) >= 5e-4

    @property
    def at_rest(self) -> bool:
        """Whether the new surface lies where the old one lay."""
        return bool((self.placement == np.eye(4)).all())


def register(old: ShapePoints, new: Mesh) -> Registration:
    """Lay a new surface on the points of an old one.

    Parameters
    ----------
    old
        Points of the old surface.
    new
        The new one; in another unit and frame, as the case may be.

    Raises
    ------
    GeometryError
        When one of them has no extent to be laid on the other by.

    Notes
    -----
    Poses are sought with few points and fitted with ever more of them; the best is fitted to the new
    surface's own triangles. Of poses that fit alike the one that moves least is taken, and of motions with
    and without scaling the plainer. Where too little meets for a copy, yet more than of most other surfaces,
    poses are sought once more, and more widely.
    """
    found = _registered(old, new)
    if found.is_same or found.meeting < WORTH_MORE:
        return found
    return max(found, _registered(old, new, wide=True), key=lambda each: each.meeting)


def _registered(old: ShapePoints, new: Mesh, *, wide: bool = False) -> Registration:
    if not (len(old.points) and old.radius > 0.0 and new.area > 0.0):
        raise GeometryError("Sculpts without any surface cannot be laid on each other.")
    points = shape_points(new, REMEMBERED)
    into_new = placement(np.eye(3) * points.radius, points.middle)
    out_of_old = _inverse(placement(np.eye(3) * old.radius, old.middle))

    def whole(poses: Poses, number: int) -> Floats:
        return np.asarray(into_new @ placement(poses.linear[number], poses.shift[number]) @ out_of_old)

    start = Poses.single(_inverse(into_new) @ _inverse(out_of_old))
    poses, unmet = found_poses(old.normalised(), points.normalised(), start, wide=wide)
    alike = np.flatnonzero(unmet <= _WORTH_FITTING * unmet[0] + 0.01)
    surface = SurfacePoints(new, float(new.size.max()) / FINENESS)
    begun = [whole(poses, number) for number in alike.tolist()]
    if len(begun) > 1:  # of many that fit alike, the least turned may not be among those kept
        begun.append(whole(start, 0))
    settled = [_settled(each, old, new, surface) for each in begun]
    least = _ALIKE * min(residual for _, residual in settled) + _EVEN * old.radius
    settled = [each for each in settled if each[1] <= least]
    matrix, residual = min(settled, key=lambda each: _motion(each[0], old))
    axes = slipping_axes(old)
    matrix = _slipped(matrix, axes, old)
    turns = [_angle(each[:3, :3] @ matrix[:3, :3].T) for each, _ in settled]
    rival = max((turn for turn in turns if turn > _APART), default=None)
    return Registration(
        _inverse(matrix),
        float(np.linalg.norm(move_points(matrix, old.middle) - old.middle)),
        _angle(matrix[:3, :3]),
        scale_of(matrix),
        residual,
        _meeting(matrix, old, points, surface, new),
        rival,
        len(axes) > 0,
    )


def _slipped(matrix: Floats, axes: Floats, old: ShapePoints) -> Floats:
    """Turn a round shape on itself beforehand, so that in all it is turned least."""
    if len(axes) == 0 or (matrix == np.eye(4)).all():
        return matrix
    scale = scale_of(matrix)
    turn = scale * least_turned(matrix[:3, :3] / scale, axes)
    middle = move_points(matrix, old.middle)
    return placement(turn, middle - turn @ old.middle)


def _settled(start: Floats, old: ShapePoints, new: Mesh, surface: SurfacePoints) -> tuple[Floats, float]:
    """Fit a pose to the triangles themselves; give it, or a plainer one as good, and its residual."""
    free = _exactly_fitted(start, old, new, surface, scaling=True)
    least = _residual(free, old, surface)
    slack = 1.05 * least + 1e-5 * old.radius
    if _motion(free, old) < _AT_REST * old.radius:
        return np.eye(4), _residual(np.eye(4), old, surface)
    scale = scale_of(free)
    if abs(scale - 1.0) < 0.01:
        about = placement(np.eye(3) / scale, old.middle - old.middle / scale)
        rigid = _exactly_fitted(free @ about, old, new, surface, scaling=False)
        residual = _residual(rigid, old, surface)
        if residual <= slack:
            return rigid, residual
    return free, least


def _exactly_fitted(
    matrix: Floats, old: ShapePoints, new: Mesh, surface: SurfacePoints, *, scaling: bool
) -> Floats:
    middle, radius = old.middle, old.radius * scale_of(matrix)
    for _ in range(_FITS):
        pose = Poses.single(matrix)
        found = _on_surface(pose, old, new, surface)
        step = fitted(pose, found, LEAST * radius, scaling=scaling)
        after = placement(step.linear[0], step.shift[0])
        went = np.linalg.norm(move_points(after, middle) - move_points(matrix, middle))
        turned = np.linalg.norm(after[:3, :3] - matrix[:3, :3]) / scale_of(matrix)
        matrix = after
        if went / radius + turned < 1e-7:
            break
    return matrix


def _on_surface(pose: Poses, old: ShapePoints, new: Mesh, surface: SurfacePoints) -> Pairs:
    points = pose.moved(old.points)[0]
    found = surface.near(points)
    across = new.crosses[found.triangles]
    across = across / np.maximum(lengths(across), 1e-300)[:, None]
    ways = old.normals @ pose.rotation[0].T
    agree = np.einsum("ij,ij->i", ways, across) > 0.2
    off = np.einsum("ij,ij->i", points - found.points, across)
    return Pairs(points[None], across[None], off[None], found.distance[None], agree[None])


def _residual(matrix: Floats, old: ShapePoints, surface: SurfacePoints) -> float:
    distance = surface.near(move_points(matrix, old.points)).distance
    return float(np.sort(distance)[: int(KEPT * len(distance))].mean()) / scale_of(matrix)


def _meeting(
    matrix: Floats, old: ShapePoints, points: ShapePoints, surface: SurfacePoints, new: Mesh
) -> float:
    """Give the share of both surfaces, as their points say, that meet."""
    pose = Poses.single(matrix)
    found = _on_surface(pose, old, new, surface)
    within = MEETS * old.radius * scale_of(matrix)
    there = float((found.agree & (found.distance < within)).mean())
    back, here = old.tree.query(pose.inverted().moved(points.points)[0])
    along = pose.inverted().moved(points.points)[0] - old.points[here]
    off = np.abs(np.einsum("ij,ij->i", along, old.normals[here]))
    spacing = 6.0 * MEETS * old.radius
    return (there + float(((off < MEETS * old.radius) & (back < spacing)).mean())) / 2.0


def _inverse(matrix: Floats) -> Floats:
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def _motion(matrix: Floats, old: ShapePoints) -> float:
    """Give the root mean square of what a motion moves points by."""
    away = move_points(matrix, old.points) - old.points
    return float(np.sqrt(np.square(away).sum(axis=1).mean()))


def _angle(linear: Floats) -> float:
    """Give the angle in degrees that a similarity turns by, small ones in full precision."""
    turn = linear / np.cbrt(np.linalg.det(linear))
    skew = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    return float(np.degrees(np.arctan2(np.linalg.norm(skew), np.trace(turn) - 1.0)))
