"""Where the seat of a bolt or of a countersunk screw goes.

A maker wants three things of a bolt's seat: all of its ring on solid material, enough of it between seat and
wall, and the head out of harm's way. The deeper the seat, the shorter the bolt, but the deeper and weaker the
pocket, the longer the key, and the less material the bolt clamps (a short, stiff clamp of plastic also loses
its preload sooner). So the rule that stands for a machinist's habit is "recessed": just deep enough for head
and washer to lie under the surface round the pocket, yet never with less than the required thickness
underneath. A hold 58 mm high with a 2.5 mm washer and a 10 mm head gets its seat near 44 mm and a pocket 13.5
mm deep. For the shortest bolt there is "thickness": the required thickness and no more. All common
practice, no source.
"""

from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Mask
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import STEP, HoleSite, Least
from holdwright.geometry.mesh.mesh import Mesh

SeatBy = Literal["recessed", "thickness", "depth"]

FACING = 0.5
"""A seat is cut at least this far below the lowest surface over it, so that all of it is faced, mm."""
LEAST = 0.5
"""Least material that must be left under a countersink for there to be one at all, mm."""


@dataclass(frozen=True)
class SeatRule:
    """How high a bolt's seat is to be. Lengths in mm."""

    by: SeatBy
    """Recessed: head and washer `recess` below the lowest surface over the pocket, but at least `under_seat`
    of material underneath; thickness: exactly `under_seat` underneath; depth: `depth` below the surface on
    the axis."""
    under_seat: float
    """Required thickness between seat and wall."""
    recess: float
    """Washer, head and what the head is to lie below the surface, together."""
    depth: float = 20.0
    """For "depth" alone."""


def seat_heights(rule: SeatRule, lowest: Any, underside: Any, on_axis: Any) -> tuple[Any, Any]:
    """Give the height that a rule requests, and the height a seat can have.

    Parameters
    ----------
    lowest
        Lowest height of the material's top over the pocket; floats or arrays of one shape, mm.
    underside
        Highest height of the material's underside below the ring: 0 where the back is flat.
    on_axis
        Height of the material's top on the axis.

    Returns
    -------
    requested, seat
        They differ where the requested height has not all of the ring on material, or is not above the
        underside.
    """
    if rule.by == "depth":
        requested = on_axis - rule.depth
    else:
        requested = underside + rule.under_seat
        if rule.by == "recessed":
            requested = np.maximum(requested, lowest - rule.recess)
    seat = np.minimum(np.maximum(requested, underside + FACING), lowest - FACING)
    # Where the surface over the pocket is lower than the underside, no whole seat exists: take the request.
    whole = lowest - FACING > underside
    return requested, np.where(whole, seat, requested)


def bolt_seat(site: HoleSite, rule: SeatRule) -> tuple[float, float]:
    """Give the height that a rule requests on a site and the height the seat can have; see `seat_heights`.

    Raises
    ------
    GeometryError
        When there is no material within the pocket.
    """
    low, high, hole = site.low, site.high, site.hole.hole_radius
    solid = site.pocket & ~np.isnan(high)
    if not solid.any():
        raise _no_material(site.hole)
    x, y = site.columns.grid.places
    on_axis = float(high[solid][np.argmin(np.hypot(x, y)[solid])])
    seated = site.pocket & (site.radius >= hole)
    if np.isnan(high[seated]).any():
        # Part of the pocket hangs in the air: the seat can only be right for what is nearest the axis.
        seated = solid & (site.radius <= max(site.radius[solid].min(), hole) + STEP)
    under = seated & site.ring if (seated & site.ring).any() else seated
    lowest, underside = float(high[seated].min()), site.under(low, under)[0]
    requested, seat = seat_heights(rule, lowest, underside, on_axis)
    if lowest - FACING <= underside:
        seat = max(min(float(seat), on_axis - FACING), FACING)
    return float(requested), float(seat)


def under_bolt(site: HoleSite, seat: float) -> Least:
    """Measure the least material along the axis from a seat to the back, or to a hollow in it.

    Under all of the ring that has material, from columns `hole_site.STEP` apart.
    """
    low, _ = site.stretch(seat - 1e-6)
    bearing = site.ring & ~np.isnan(low)
    if not bearing.any():
        return Least(0.0, site.hole.on_axis(seat))
    height, place = site.under(low, bearing)
    return Least(seat - height, place)


def screw_site(surface: Mesh, hole: Hole, driver: float) -> HoleSite:
    """Measure the columns round a screw; `driver` is the diameter that is to be free for the driver, mm."""
    return HoleSite.of(surface, hole, max(hole.pocket_diameter, driver) / 2.0 + STEP)


def lowest_over_head(site: HoleSite) -> Least:
    """Find the lowest surface over a screw's head, as a height along the axis.

    Raises
    ------
    GeometryError
        When there is no material at all.
    """
    # Half a diagonal wider than the head, since the lowest place of its rim may lie between columns.
    over = site.radius <= site.hole.pocket_radius + STEP / np.sqrt(2.0)
    tops = np.where(over & ~np.isnan(site.high), site.high, np.inf)
    if not np.isfinite(tops).any():
        raise _no_material(site.hole)
    return site.least(tops)


def screw_seated(site: HoleSite, below: float, most: float) -> Hole:
    """Give a screw's hole with its countersink.

    Parameters
    ----------
    below
        How far the countersink's mouth lies below the lowest surface over it, at least, mm.
    most
        Deeper, where more than this would be left between countersink and back: it makes the screw long.

    Raises
    ------
    GeometryError
        When the hold is too thin there to sink the head.
    """
    hole, lowest, bearing = site.hole, lowest_over_head(site).value, _bearing(site)
    place = f"x {hole.x:.1f}, y {hole.y:.1f} mm"
    if not bearing.any():
        raise GeometryError(
            f"The hold at {place} is no wider than the screw's hole, so that nothing would carry its head; "
            "choose another place, or a smaller screw."
        )
    underside = float(site.low[bearing].max())
    seat = min(lowest - below - hole.cone_height, underside + most)
    if seat < underside + LEAST:
        raise GeometryError(
            f"The hold is only {max(lowest - underside, 0.0):.1f} mm thick where a screw at {place} has its "
            f"head, and its countersink takes {hole.cone_height + below:.1f} mm; choose another place, "
            "or a smaller screw."
        )
    return replace(hole, seat=seat)


def under_head(site: HoleSite, seat: float) -> Least:
    """Measure the least material between a seated countersink and the back."""
    low = np.where(_bearing(site), site.low, -np.inf)
    cell = int(np.argmax(low))
    height = float(low.flat[cell])
    return Least(seat - height, site.at_cell(cell, height))


def _bearing(site: HoleSite) -> Mask:
    """Give which columns under a countersink have material."""
    return np.asarray(site.ring & ~np.isnan(site.low))


def _no_material(hole: Hole) -> GeometryError:
    return GeometryError(
        f"There is no material for a hole at x {hole.x:.1f}, y {hole.y:.1f} mm; choose another place, "
        "or less tilt."
    )
