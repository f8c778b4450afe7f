"""Boring a hold for its bolt: clearance hole, seat and pocket in one cut."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import connected, reassembled
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid

SEGMENTS = 128
OVERSHOOT = 1.0
"""The cutter reaches this far beyond the solid at both ends, mm."""
SLIVER = 0.02
"""A piece that the bore cuts loose is dropped when it is less than this share of the hold."""


@dataclass(frozen=True)
class BoreShape:
    """A bore to be cut. Lengths in mm.

    Attributes
    ----------
    x, y
        Foot: where the axis meets the finished back, z = 0.
    seat
        Distance of the seat from the foot, along the axis.
    clearance_diameter, pocket_diameter
        Diameters of the hole below the seat and of the pocket above it.
    ring_diameter
        Outer diameter of what presses on the seat: the washer, or the head itself.
    axis
        Unit vector from the back outward.
    cone_angle
        Full angle in degrees of a countersink that widens from the clearance hole at the seat to the pocket;
        None for a flat seat.
    slot
        How much longer than wide hole and pocket are; 0 for round ones.
    slot_along
        Unit vector square to the axis along which they are longer.
    """

    x: float
    y: float
    seat: float
    clearance_diameter: float
    pocket_diameter: float
    ring_diameter: float
    axis: tuple[float, float, float] = (0.0, 0.0, 1.0)
    cone_angle: float | None = None
    slot: float = 0.0
    slot_along: tuple[float, float, float] = (1.0, 0.0, 0.0)

    @property
    def cone_height(self) -> float:
        """Height from the seat to where the countersink reaches the pocket; 0 for a flat seat."""
        if self.cone_angle is None:
            return 0.0
        wider = (self.pocket_diameter - self.clearance_diameter) / 2
        return wider / math.tan(math.radians(self.cone_angle / 2))

    @property
    def upright(self) -> bool:
        """Whether the axis stands square on the back."""
        return self.axis == (0.0, 0.0, 1.0)

    @property
    def reach(self) -> float:
        """How far the pocket comes from the axis at most."""
        return (self.pocket_diameter + self.slot) / 2

    @property
    def half_slot(self) -> Floats:
        """(3,) from the axis to the middle of one end of the slot."""
        return np.asarray(self.slot / 2 * np.array(self.slot_along))

    def on_axis(self, height: float) -> Floats:
        """Give the place (3,) at a distance from the foot along the axis."""
        return np.asarray(np.array([self.x, self.y, 0.0]) + height * np.array(self.axis))

    def away(self, x: Floats, y: Floats) -> Floats:
        """Distance of places in the bore's frame from the axis, or from the middle line of a slot."""
        if self.slot == 0.0:
            return np.asarray(np.hypot(x, y))
        first, second = self.slot_way
        beyond = np.abs(x * first + y * second) - self.slot / 2
        return np.asarray(np.hypot(np.maximum(beyond, 0.0), y * first - x * second))

    @cached_property
    def slot_way(self) -> tuple[float, float]:
        """Unit vector along the slot in the bore's frame."""
        way = self.frame[:2, :3] @ np.array(self.slot_along)
        first, second = (way / np.linalg.norm(way)).tolist()
        return first, second

    @property
    def frame(self) -> Floats:
        """(4, 4) placement from the hold's frame into the bore's: foot at the origin, axis along +z."""
        turn = _turned_upright(np.array(self.axis))
        return placement(turn, -turn @ np.array([self.x, self.y, 0.0]))


@dataclass(frozen=True, eq=False)
class BoreCut:
    """What boring gave.

    Attributes
    ----------
    solid
        The hold with the bore in it.
    removed
        Volume taken out by the cutter, mm3, without the slivers.
    slivers
        Volume (mm3) and centre of the pieces that came loose and were dropped.
    loose
        Volume and centre of pieces that came loose and were kept, being too large for slivers.
    """

    solid: Solid
    removed: float
    slivers: tuple[tuple[float, Floats], ...] = ()
    loose: tuple[tuple[float, Floats], ...] = ()


def bore_cutter(shape: BoreShape, low: float, top: float, segments: int = SEGMENTS) -> Solid:
    """Turn the solid that a bore takes away.

    Parameters
    ----------
    shape
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
    hole, pocket = shape.clearance_diameter / 2, shape.pocket_diameter / 2
    mouth = shape.seat + shape.cone_height
    if not (0 < hole < pocket and low < shape.seat <= mouth < top):
        raise GeometryError(
            "A bore needs 0 < clearance hole < pocket and its seat within the hold, but was asked for a hole "
            f"of {shape.clearance_diameter:.2f} mm, a pocket of {shape.pocket_diameter:.2f} mm and a seat at "
            f"{shape.seat:.2f} mm between {low:.2f} and {top:.2f}; change them."
        )
    angle = 2 * np.pi / segments
    swell = float(np.sqrt(angle / np.sin(angle)))
    profile = np.array(
        [(0, low), (hole, low), (hole, shape.seat), (pocket, mouth), (pocket, top), (0, top)], np.float64
    )
    profile[:, 0] *= swell
    turned = Manifold.revolve(CrossSection([profile]), segments)
    if shape.slot > 0.0:
        turned = _drawn_out(turned, shape, segments)
    back = np.linalg.inv(shape.frame)
    return Solid.checked(turned.transform(back[:3, :4]), "the cutter of the bore")


def _drawn_out(turned: Manifold, shape: BoreShape, segments: int) -> Manifold:
    """Move both halves of a turned solid apart by the slot's length; the flats between them are drawn out."""
    half = shape.slot / 2

    def apart(points: Floats) -> Floats:
        return np.asarray(points + np.outer(np.sign(points[:, 0]), [half, 0.0, 0.0]))

    # Turned by half a side, no corner lies on the plane between the halves: only the axis does, and stays.
    first, second = shape.slot_way
    drawn = turned.rotate((0.0, 0.0, 180.0 / segments)).warp_batch(apart)
    return drawn.rotate((0.0, 0.0, math.degrees(math.atan2(second, first))))


def cut_bore(solid: Solid, shape: BoreShape, segments: int = SEGMENTS) -> BoreCut:
    """Bore a solid right through, from the wall to the open air along the axis.

    Raises
    ------
    GeometryError
        When the bore misses the solid, or nothing is left of it.
    """
    low, top = _reach(solid, shape)
    cutter = bore_cutter(shape, low, max(top, shape.seat + shape.cone_height + OVERSHOOT), segments)
    cut = Solid.checked(solid.kernel - cutter.kernel, "the bored hold")
    removed = solid.volume - cut.volume
    if not removed > 1e-9 * solid.volume:
        raise GeometryError(
            f"There is no material to bore at x {shape.x:.1f}, y {shape.y:.1f} mm; choose another place."
        )
    return _without_slivers(solid, cut, removed)


def _without_slivers(before: Solid, cut: Solid, removed: float) -> BoreCut:
    """Drop small pieces that the cut set free; pieces that were apart before stay as they are."""
    pieces = cut.kernel.decompose()
    if len(pieces) == 1:
        return BoreCut(cut, removed)
    bodies = sorted((Solid(piece) for piece in pieces if piece.volume() > 0), key=lambda each: -each.volume)
    known = [(piece.volume, piece.bounds) for piece in connected(before)]
    new = [body for body in bodies if not any(_same(body, *piece) for piece in known)]
    limit = SLIVER * cut.volume
    dropped = [piece for piece in new[1:] if piece.volume < limit]
    loose = tuple(_described(piece) for piece in new[1:] if piece.volume >= limit)
    if len(bodies) <= len(known):
        loose = ()
    if not dropped:
        return BoreCut(cut, removed, (), loose)
    kept = [piece for piece in pieces if not any(_lies_in(piece, sliver) for sliver in dropped)]
    solid = Solid.checked(reassembled(kept), "the bored hold without its slivers")
    return BoreCut(solid, removed, tuple(_described(piece) for piece in dropped), loose)


def _same(piece: Solid, volume: float, bounds: Floats) -> bool:
    return abs(piece.volume - volume) <= 1e-9 * volume and bool(np.allclose(piece.bounds, bounds, atol=1e-6))


def _lies_in(piece: Manifold, sliver: Solid) -> bool:
    """Whether a piece is a sliver, or a cavity within one."""
    box = np.array(piece.bounding_box()).reshape(2, 3)
    inside = bool((box[0] >= sliver.bounds[0] - 1e-9).all() and (box[1] <= sliver.bounds[1] + 1e-9).all())
    return inside and piece.volume() <= sliver.volume * (1 + 1e-9)


def _described(piece: Solid) -> tuple[float, Floats]:
    return piece.volume, np.asarray(piece.bounds.mean(axis=0))


def _reach(solid: Solid, shape: BoreShape) -> tuple[float, float]:
    """Give ends along the axis, from the foot, that lie beyond the solid on all of the bore's width."""
    low, high = solid.bounds
    corners = np.array(np.meshgrid(*zip(low, high, strict=True))).reshape(3, -1).T
    along = (corners - [shape.x, shape.y, 0.0]) @ np.array(shape.axis)
    return float(along.min()) - OVERSHOOT, float(along.max()) + OVERSHOOT


def _turned_upright(axis: Floats) -> Floats:
    """(3, 3) rotation that takes a unit `axis` to +z by the shortest way."""
    x, y, z = axis / np.linalg.norm(axis)
    if z <= -1.0 + 1e-12:
        raise GeometryError("A bore's axis must point away from the wall; turn it round.")
    a, b, c = 1.0 - x * x / (1.0 + z), -x * y / (1.0 + z), 1.0 - y * y / (1.0 + z)
    return np.array([[a, b, -x], [b, c, -y], [x, y, z]])
