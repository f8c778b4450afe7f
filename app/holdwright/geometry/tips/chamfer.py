"""Cutting tips blunt: each by a plane, so far in that the flat is wide enough; only the tip goes."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold, OpType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import reassembled
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips.chamfer_flat import Outline, framed
from holdwright.geometry.tips.cut_depth import depth_for

SHARP_ANGLE = 80.0
"""Interior angle, degrees, below which an edge the cut leaves is reported. Common practice, no source."""

GROWN = 1.01
"""How much larger than the tip the body is that takes it away: no surface of both coincides but the flat."""

SHRED = 1e-6
"""A body of less than this is no body, mm3."""


@dataclass(frozen=True, eq=False)
class LeftEdge:
    """A sharp edge between the flat and the surface round it."""

    length: float
    """mm in all."""
    angle: float
    """Mean interior angle, degrees."""
    place: Floats
    """(3,) mm, in its middle."""


@dataclass(frozen=True, eq=False)
class TipCutting:
    """One tip's cut."""

    place: Floats
    """(3,) mm: centre of the largest circle in the flat."""
    normal: Floats
    """(3,) unit normal of the flat, outward."""
    depth: float
    """How far inside of the apex the flat lies, mm."""
    width: float
    """Diameter of the largest circle in the flat, mm."""
    reached: bool
    """Whether that is as wide as requested."""
    stopped: bool
    """Whether going deeper would have taken away more than the tip."""
    removed: float
    """Volume taken away, mm3."""
    lowest: float
    """Least height z of what was taken away, mm."""
    edge: LeftEdge | None
    """Sharp edge the cut leaves, if any."""
    body: Floats
    """(n, 3) mm: points whose hull takes the tip away."""


def cut_normal(axis: Floats, place: Floats, angle: float = 40.0) -> Floats:
    """Give the normal of the plane that blunts a tip near the wall: outward and away from the wall.

    Parameters
    ----------
    axis
        (3,) unit vector along which the tip points; outward is its direction along the wall.
    place
        (3,) mm: the apex; where the tip points straight away from the wall, outward is from the middle of the
        hold toward this.
    angle
        Between the plane and the wall, degrees: 0 is along the wall, 90 upright to it.
    """
    outward = np.asarray(axis[:2], dtype=np.float64)
    if np.linalg.norm(outward) < 0.1:
        outward = np.asarray(place[:2], dtype=np.float64)
    length = float(np.linalg.norm(outward))
    if length < 1e-6:
        return np.array([0.0, 0.0, 1.0])
    tilt = math.radians(angle)
    return np.array([*(math.sin(tilt) / length * outward), math.cos(tilt)])


def cut_tips(
    solid: Solid, tips: Iterable[tuple[Floats, Sequence[Floats]]], width: float = 8.0, deepest: float = 15.0
) -> tuple[Solid, tuple[TipCutting | None, ...]]:
    """Cut tips blunt, one after another; cuts that do not touch one another are made in one pass.

    Parameters
    ----------
    solid
        mm.
    tips
        Pairs of an apex (3,) mm, a vertex of the solid, and the unit normals (3,) outward that its flat may
        have: the first is taken, the next only where that plane cannot go in far enough without taking more
        than the tip.
    width
        Diameter of the largest circle in the flat, mm. The first depth at which it is reached is taken.
    deepest
        No cut goes deeper than this inside of the apex, mm.

    Returns
    -------
    The solid without the tips, and for each tip its cut, or None where an earlier cut took the apex away.

    Raises
    ------
    GeometryError
        When nothing would be left.
    """
    cuttings: list[TipCutting | None] = []
    waiting: list[TipCutting] = []
    for place, normals in tips:
        cutting = _best_cut(solid, place, normals, width, deepest)
        if cutting is not None and cutting.removed > 0.0 and any(_touch(cutting, each) for each in waiting):
            solid, waiting = _without(solid, waiting), []
            cutting = _best_cut(solid, place, normals, width, deepest)
        if cutting is not None and cutting.removed > 0.0:
            waiting.append(cutting)
        cuttings.append(cutting)
    return _without(solid, waiting), tuple(cuttings)


def _best_cut(
    solid: Solid, place: Floats, normals: Sequence[Floats], width: float, deepest: float
) -> TipCutting | None:
    """Plan with the first normal that is not stopped short, else with that of the widest flat."""
    best: TipCutting | None = None
    for normal in normals:
        cutting = plan_cut(solid, place, normal, width, deepest)
        if cutting is None or not cutting.stopped:
            return cutting
        if best is None or cutting.width > best.width:
            best = cutting
    return best


def plan_cut(solid: Solid, place: Floats, normal: Floats, width: float, deepest: float) -> TipCutting | None:
    """Find how deep to cut one tip, and what that leaves, without cutting; None if its apex is gone."""
    vertices = solid.vertices
    distance = np.abs(vertices - place).max(axis=1)
    number = int(np.argmin(distance))
    if distance[number] > 1e-3:
        return None
    apex = vertices[number]
    points, axes = framed(vertices, normal, apex)
    slope, depth, stopped = depth_for(points, solid.triangles, number, width, deepest)
    outline = slope.outline(depth) if depth > 0.0 else None
    # A plane that meets no edge of the slope went past all of it: no flat is left there.
    if outline is None or len(outline.lean) == 0:
        nothing = np.empty((0, 3))
        return TipCutting(apex, normal, 0.0, 0.0, False, True, 0.0, float(apex[2]), None, nothing)
    centre, radius = outline.largest_circle(0.002)
    seat = np.array([*centre, -depth])
    rim = np.insert(outline.segments.reshape(-1, 2), 2, -depth, axis=1)
    piece = np.concatenate([np.unique(slope.beyond(depth), axis=0), rim])
    return TipCutting(
        place=seat @ axes + apex,
        normal=np.asarray(normal, dtype=np.float64),
        depth=depth,
        width=2.0 * radius,
        reached=2.0 * radius >= width - 0.05,
        stopped=stopped,
        removed=slope.volume(depth),
        lowest=float((piece @ axes[:, 2]).min() + apex[2]),
        edge=_left_edge(outline, depth, axes, apex),
        body=(seat + GROWN * (piece - seat)) @ axes + apex,
    )


def _left_edge(outline: Outline, depth: float, axes: Floats, apex: Floats) -> LeftEdge | None:
    """Gather the stretches where flat and surface meet at a sharp angle."""
    sharp = outline.lean < -math.cos(math.radians(SHARP_ANGLE))
    if not sharp.any():
        return None
    segments = outline.segments[sharp]
    lengths = np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1)
    total = float(lengths.sum())
    if total <= 0.0:
        return None
    angles = np.degrees(np.arccos(np.clip(-outline.lean[sharp], -1.0, 1.0)))
    middles = segments.mean(axis=1)
    centre = lengths @ middles / total
    nearest = middles[int(np.argmin(np.linalg.norm(middles - centre, axis=1)))]
    return LeftEdge(total, float(lengths @ angles / total), np.array([*nearest, -depth]) @ axes + apex)


def _touch(one: TipCutting, other: TipCutting) -> bool:
    """Tell whether the boxes round two cuts overlap."""
    gap = 0.5
    return bool(
        (one.body.min(axis=0) <= other.body.max(axis=0) + gap).all()
        and (other.body.min(axis=0) <= one.body.max(axis=0) + gap).all()
    )


def _without(solid: Solid, cuttings: list[TipCutting]) -> Solid:
    """Take tips away, and nothing else."""
    if not cuttings:
        return solid
    bodies = [Manifold.hull_points(np.ascontiguousarray(cutting.body)) for cutting in cuttings]
    cut = Solid.checked(
        Manifold.batch_boolean([solid.kernel, *bodies], OpType.Subtract), "the hold without its tips"
    )
    if _balanced(solid, cut, cuttings):
        return cut
    # a hull also met another lobe: take those tips as the connected pieces they are
    for cutting in cuttings:
        solid = _without_piece(solid, cutting)
    return solid


def _balanced(before: Solid, after: Solid, cuttings: list[TipCutting]) -> bool:
    removed = sum(cutting.removed for cutting in cuttings)
    return abs(before.volume - after.volume - removed) <= 1e-6 * removed + 1e-10 * before.volume


def _without_piece(solid: Solid, cutting: TipCutting) -> Solid:
    """Take the connected piece beyond the plane that has the tip's volume away, exactly."""
    beyond = solid.kernel.trim_by_plane(tuple(cutting.normal), float(cutting.normal @ cutting.place))
    pieces = beyond.decompose()
    low, high = cutting.body.min(axis=0), cutting.body.max(axis=0)

    def unlike(piece: Manifold) -> float:
        box = np.array(piece.bounding_box()).reshape(2, 3)
        outside = float(np.maximum(low - box[0], 0.0).sum() + np.maximum(box[1] - high, 0.0).sum())
        return outside + abs(float(piece.volume()) - cutting.removed) / cutting.removed

    cut = solid.kernel - min(pieces, key=unlike)
    # where piece and hold coincide, shreds without volume may be left
    bodies = [body for body in cut.decompose() if abs(body.volume()) > SHRED]
    return Solid.checked(reassembled(bodies), "the hold without its tip")
