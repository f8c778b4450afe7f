"""Cutting a hole out of a hold: its cutter, the cut, and the slivers that come loose."""

import math
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.boolean import connected, reassembled
from holdwright.geometry.mesh.circle import SEGMENTS, area_true_radius
from holdwright.geometry.mesh.solid import Solid

OVERSHOOT = 1.0
"""The cutter reaches this far beyond the solid at both ends, mm."""
SLIVER = 0.02
"""A piece that the hole cuts loose is dropped when it is less than this share of the hold."""


@dataclass(frozen=True, eq=False)
class HoleCut:
    """A hold with a hole cut into it."""

    solid: Solid
    """The hold with the hole in it."""
    removed: float
    """Volume taken out by the cutter, mm3, without the slivers."""
    slivers: tuple[Solid, ...] = ()
    loose: tuple[Solid, ...] = ()
    """Pieces that came loose: small ones, dropped (slivers), and larger ones, left in."""


def hole_cutter(hole: Hole, low: float, top: float, segments: int = SEGMENTS) -> Solid:
    """Turn the solid that a hole takes away.

    Parameters
    ----------
    hole
        Its pocket must be wider than its clearance hole, and its seat, with a countersink's cone, lie between
        `low` and `top`.
    low, top
        Ends of the cutter along the axis, from the foot, mm.
    segments
        Sides of the regular polygon that stands for each circle.

    Returns
    -------
    Solid
        In the hold's frame.

    Raises
    ------
    GeometryError
        When the sizes are out of order.

    Notes
    -----
    Each polygon has the AREA of its true circle, so its corners lie outside it by the factor
    sqrt(a / sin a), a = 2 pi / n, and its flats inside it by cos(a / 2) times that. At n = 128 that is +0.02
    % and -0.01 % of the radius: a hole of 11 mm measures 10.9989 across flats and 11.0022 across corners.
    Volumes agree with Pappus (volume = area of the profile times the path of its centroid) to rounding. A
    slot is this solid drawn out: between its two ends it is as wide as the hole is across flats.
    """
    if not (0 < hole.clearance_diameter < hole.pocket_diameter and low < hole.seat <= hole.mouth < top):
        raise GeometryError(
            "A hole needs 0 < clearance hole < pocket and its seat within the hold, but was requested with a "
            f"clearance hole of {hole.clearance_diameter:.2f} mm, a pocket of {hole.pocket_diameter:.2f} mm "
            f"and a seat from {hole.seat:.2f} to {hole.mouth:.2f} mm between {low:.2f} and {top:.2f}; change "
            "them."
        )
    profile = np.array([(0.0, low), *hole.profile(low, top), (0.0, top)])
    profile[:, 0] *= area_true_radius(1.0, segments)
    turned = Manifold.revolve(CrossSection([profile]), segments)
    if hole.slot > 0.0:
        turned = _drawn_out(turned, hole, segments)
    return Solid.checked(turned.transform(hole.from_axis[:3]), "the cutter of the hole")


def _drawn_out(turned: Manifold, hole: Hole, segments: int) -> Manifold:
    """Move both halves of a turned solid apart by the slot's length; the flats between them are drawn out."""
    half = hole.slot / 2

    def apart(points: Floats) -> Floats:
        return np.asarray(points + np.outer(np.sign(points[:, 0]), [half, 0.0, 0.0]))

    # Turned by half a side, no corner lies on the plane between the halves: only the axis does, and stays.
    first, second = hole.slot_way
    drawn = turned.rotate((0.0, 0.0, 180.0 / segments)).warp_batch(apart)
    return drawn.rotate((0.0, 0.0, math.degrees(math.atan2(second, first))))


def cut_hole(solid: Solid, hole: Hole, top: float | None = None) -> HoleCut:
    """Cut a hole from below the back up to `top`, mm from the foot along the axis; right through by default.

    Raises
    ------
    GeometryError
        When the hole misses the solid, or nothing is left of it.
    """
    corners = np.array(np.meshgrid(*solid.bounds.T)).reshape(3, -1).T
    along = (corners - hole.foot) @ np.array(hole.axis)
    if top is None:
        top = max(float(along.max()), hole.mouth) + OVERSHOOT
    cutter = hole_cutter(hole, float(along.min()) - OVERSHOOT, top)
    cut = Solid.checked(solid.kernel - cutter.kernel, "the hold with its hole")
    removed = solid.volume - cut.volume
    if not removed > 1e-9 * solid.volume:
        raise GeometryError(
            f"There is no material for a hole at x {hole.x:.1f}, y {hole.y:.1f} mm; choose another place."
        )
    return _without_slivers(solid, cut, removed)


def _without_slivers(before: Solid, cut: Solid, removed: float) -> HoleCut:
    """Drop small pieces that the cut set free; pieces that were apart before stay as they are."""
    pieces = cut.kernel.decompose()
    if len(pieces) == 1:
        return HoleCut(cut, removed)
    bodies = sorted((Solid(piece) for piece in pieces if piece.volume() > 0), key=lambda each: -each.volume)
    known = [(piece.volume, piece.bounds) for piece in connected(before)]
    new = [body for body in bodies if not any(_same(body, *piece) for piece in known)][1:]
    limit = SLIVER * cut.volume
    dropped = [piece for piece in new if piece.volume < limit]
    loose = [piece for piece in new if piece.volume >= limit] if len(bodies) > len(known) else []
    solid = cut
    if dropped:
        left = [piece for piece in pieces if not any(_lies_in(piece, sliver) for sliver in dropped)]
        solid = Solid.checked(reassembled(left), "the hold without its slivers")
    return HoleCut(solid, removed, tuple(dropped), tuple(loose))


def _same(piece: Solid, volume: float, bounds: Floats) -> bool:
    return abs(piece.volume - volume) <= 1e-9 * volume and bool(np.allclose(piece.bounds, bounds, atol=1e-6))


def _lies_in(piece: Manifold, sliver: Solid) -> bool:
    """Whether a piece is a sliver, or a cavity within one."""
    box = np.array(piece.bounding_box()).reshape(2, 3)
    inside = bool((box[0] >= sliver.bounds[0] - 1e-9).all() and (box[1] <= sliver.bounds[1] + 1e-9).all())
    return inside and piece.volume() <= sliver.volume * (1 + 1e-9)
