"""Where the back of a hold is relieved: all of it but a land along its outline, round its holes, and ribs.

Outlines are drawn in and out as true offsets, round where a corner is drawn round. The pocket's own corners
are rounded by opening it: drawn in by the corner's radius and out again, which also drops what is narrower
than twice that.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, Manifold

from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import Least
from holdwright.geometry.measure.columns import Grid, columns
from holdwright.geometry.measure.sections import Outlines, inside
from holdwright.geometry.mesh.boolean import subtract
from holdwright.geometry.mesh.circle import SEGMENTS, circle_points
from holdwright.geometry.mesh.solid import Solid

CORNER = 2.0
"""Least radius of a pocket's corners, mm: five widths of a 0.4 mm bead. Our choice."""

_BEYOND = 1.0
"""How far the cutter reaches below the hold, mm."""
_STEP = 1.0
_SMOOTH = 0.003
"""By how much an outline drawn in or out may be smoothed, mm."""
_OVER = 0.05
"""How much wider than cut a hole is filled, so that its polygon's flats and corners vanish; half the width of
cracks that close, mm."""


@dataclass(frozen=True)
class ReliefRequest:
    """What of a back stays on the wall, and how deep the rest is cut. Lengths in mm; 0 for none."""

    depth: float = 1.0
    land: float = 12.0
    """Width of the land along every outline."""
    bore_land: float = 0.0
    """Width of the land round a bore, from its clearance hole outward."""
    screw_land: float = 4.0
    """How far the land round a wood screw goes beyond its head."""
    rib_spacing: float = 0.0
    """Clear width between ribs."""
    rib_width: float = 1.6


@dataclass(frozen=True)
class BackHoles:
    """Holes that come out on the back."""

    bores: Sequence[Hole] = field(default=())
    screws: Sequence[Hole] = field(default=())


def pocket_outlines(back: Outlines, holes: BackHoles, relief: ReliefRequest) -> Outlines:
    """Draw the pocket of a back.

    Parameters
    ----------
    back
        Closed outlines (n, 2) of the back, mm, holes in it clockwise.

    Returns
    -------
    Outlines
        As `back`; none where the lands leave nothing. A pocket goes on over a bore that has no land.
    """
    drilled = [*holes.bores, *holes.screws]
    whole = CrossSection(back, FillRule.NonZero) + mouths(drilled, relief.depth, _OVER)
    # Drawn out a little first, cracks close, such as the seam of a core put back into its shell.
    pocket = drawn_out(drawn_out(whole, _OVER), -relief.land - _OVER)
    if relief.bore_land > 0.0:
        pocket -= mouths(holes.bores, relief.depth, relief.bore_land)
    for screw in holes.screws:
        beyond = screw.pocket_radius - screw.hole_radius
        # Under a leaning head too.
        pocket -= mouths([screw], screw.seat, beyond + relief.screw_land)
    if relief.rib_spacing > 0.0 and not pocket.is_empty():
        pocket -= _ribs(pocket, holes.bores, relief)
    return _outlines(drawn_out(drawn_out(pocket, -CORNER), CORNER))


def less(back: Outlines, pocket: Outlines) -> Outlines:
    """Give the outlines of a back without those of its pocket."""
    return _outlines(CrossSection(back, FillRule.NonZero) - CrossSection(pocket, FillRule.NonZero))


def grown(outlines: Outlines, by: float) -> Outlines:
    """Draw outlines out by so many mm."""
    return _outlines(drawn_out(CrossSection(outlines, FillRule.NonZero), by))


def cut_pocket(solid: Solid, pocket: Outlines, depth: float) -> Solid:
    """Cut a pocket into the back, from the finished back at z = 0 up to `depth`, open through any stock."""
    low = float(solid.bounds[0, 2]) - _BEYOND
    cutter = Manifold.extrude(CrossSection(pocket, FillRule.NonZero), depth - low).translate((0.0, 0.0, low))
    return subtract(solid, [Solid.checked(cutter, "the pocket")], "the hold with its back relieved")


def above_pocket(solid: Solid, pocket: Outlines, depth: float, holes: Sequence[Hole]) -> tuple[Least, Least]:
    """Measure what is left above a pocket, from columns `_STEP` apart; holes and their pockets apart.

    Returns
    -------
    tuple
        The least thickness, mm, and the area that has no material at the ceiling, mm2, each with its place.
    """
    corners = np.concatenate(pocket)
    low, high = corners.min(axis=0), corners.max(axis=0)
    found = columns(solid.mesh.near(low - _STEP, high + _STEP), Grid.over(low, high, _STEP))
    top = found.at(depth)[1].reshape(-1)
    places = np.column_stack([each.reshape(-1) for each in found.grid.places])
    counted = inside(places, pocket)
    level = np.column_stack([places, np.full(len(places), depth)])
    for hole in holes:
        counted &= hole.seen_from(level)[0] > hole.pocket_radius
    if not counted.any():
        return Least(np.inf, np.zeros(3)), Least(0.0, np.zeros(3))
    bare = counted & np.isnan(top)
    thickness = np.where(counted & ~bare, top - depth, np.inf)
    least = int(np.argmin(thickness))
    middle = level[bare].mean(axis=0) if bare.any() else level[least]
    return Least(float(thickness[least]), level[least]), Least(float(bare.sum()) * _STEP**2, middle)


def land_round(pocket: Outlines, hole: Hole) -> float:
    """Give how far a pocket keeps away from a hole's axis on the back, mm; infinite where it is elsewhere."""
    start = np.concatenate(pocket) - hole.foot[:2]
    end = np.concatenate([np.roll(each, -1, axis=0) for each in pocket]) - hole.foot[:2]
    way = end - start
    square = np.maximum(np.einsum("ij,ij->i", way, way), 1e-300)
    share = np.clip(-np.einsum("ij,ij->i", start, way) / square, 0.0, 1.0)
    return float(np.hypot(*(start + share[:, None] * way).T).min(initial=np.inf))


def meets(pocket: Outlines, hole: Hole) -> bool:
    """Tell whether a pocket lies under the pocket of a hole, where its bolt presses."""
    seat = mouths([hole], hole.seat, hole.pocket_radius - hole.hole_radius)
    return not (CrossSection(pocket, FillRule.NonZero) ^ seat).is_empty()


def opens_into(pocket: Outlines, hole: Hole) -> bool:
    """Tell whether a hole comes out in a pocket."""
    return not (CrossSection(pocket, FillRule.NonZero) ^ mouths([hole], 0.0, 0.0)).is_empty()


def mouths(holes: Sequence[Hole], height: float, beyond: float) -> CrossSection:
    """Cover what holes take of the levels from the back up to a height, and so much more all round."""
    covers = []
    for hole in holes:
        lean = np.array(hole.axis[:2]) / hole.axis[2]
        longer = np.hypot(1.0, np.hypot(*lean))
        circle = circle_points(hole.hole_radius)
        # Cut level, a leaning cylinder is longer the way it leans.
        level = circle + np.outer(circle @ lean, lean) / (1.0 + longer)
        half = hole.half_slot[:2] - hole.half_slot[2] * lean
        ends = [hole.foot[:2] + level + side * half + z * lean for side in (-1.0, 1.0) for z in (0.0, height)]
        covers.append(drawn_out(CrossSection.hull_points(np.concatenate(ends)), beyond))
    return CrossSection.compose(covers) if covers else CrossSection()


def _ribs(pocket: CrossSection, bores: Sequence[Hole], relief: ReliefRequest) -> CrossSection:
    """Lay ribs along the longer side of a pocket, none of them through the middle of the bores."""
    low, high = np.array(pocket.bounds()).reshape(2, 2)
    across = int(np.argmin(high - low))
    middle = (
        float(np.mean([bore.foot[across] for bore in bores]))
        if bores
        else float(low[across] + high[across]) / 2
    )
    pitch = relief.rib_spacing + relief.rib_width
    start = middle + relief.rib_spacing / 2
    first = int(np.floor((low[across] - start) / pitch))
    last = int(np.ceil((high[across] - start) / pitch))
    size, place = high - low + 2.0, low - 1.0
    size[across] = relief.rib_width
    rib = CrossSection.square(tuple(size))
    ribs = []
    for number in range(first, last + 1):
        place[across] = start + number * pitch
        ribs.append(rib.translate(tuple(place)))
    return CrossSection.compose(ribs)


def drawn_out(shape: CrossSection, by: float) -> CrossSection:
    """Draw a shape out by so many mm, or in by less than none, round at its corners."""
    return shape.offset(by, JoinType.Round, circular_segments=SEGMENTS).simplify(_SMOOTH)


def _outlines(shape: CrossSection) -> Outlines:
    return [np.asarray(outline, dtype=np.float64) for outline in shape.to_polygons()]
