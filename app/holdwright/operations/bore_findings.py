"""What deserves a look about a bore, in words."""

import math
from collections.abc import Iterable

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_check import BoreFigures
from holdwright.geometry.hole.hole_walls import between
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.hold.finding import Finding, point
from holdwright.operations.bore_parameters import Printed
from holdwright.operations.bore_plan import BoltAndWasher
from holdwright.operations.hole_step import shortfalls, volume_text

EVEN = 0.05
"""Differences up to this are not worth a word, mm."""
LIP_SPECK = 10.0
"""A lip cut by less than this is not worth a word, mm3."""

BRIDGE = 10.0
"""A bridge up to this comes out with most materials (ranges begin at 10 mm for PETG, ABS, ASA, at 20 for PLA;
common practice, no source), mm."""

STEEPEST = 45.0
"""A roof that leans no farther than this from upright carries itself, degrees: common practice, no source."""

KEY_REACH = 100.0
"""Reach of a long hex key or bit, mm: common practice, no source."""


def place_findings(
    hole: Hole, figures: BoreFigures, wanted: Wanted, requested: float, stack: float
) -> list[Finding]:
    """Report all that deserves a look about where a bore is.

    Parameters
    ----------
    requested
        Height the seat was asked for at, mm.
    stack
        Height of washer and head together, mm.
    """
    away = "Move the bore away from that side"
    higher = "Choose a place where the hold is higher"
    rows = (
        (
            "thin_under_seat",
            figures.thickness,
            wanted.rule.under_seat,
            "Under the seat there is",
            f"{higher}, a smaller washer, or less under the seat.",
        ),
        (
            "thin_wall_at_bore",
            figures.wall_at_bore,
            wanted.wall,
            "The wall round the clearance hole is",
            f"{away}.",
        ),
        (
            "thin_wall_at_pocket",
            figures.wall_at_pocket,
            wanted.wall,
            "The wall round the pocket is",
            f"{away}, or take a smaller washer.",
        ),
        (
            "near_edge",
            figures.edge,
            wanted.edge,
            "From the axis to the edge of the back there is",
            "Move the bore inward.",
        ),
    )
    return [
        *shortfalls(rows),
        *_seat(hole, figures, wanted, requested),
        *_proud(hole, figures, stack),
        *_lip(figures),
        *_key(hole, figures, stack),
    ]


def neighbour_findings(hole: Hole, others: Iterable[Hole], wall: float, top: float) -> list[Finding]:
    """Report which other bores are nearer than a wall, in a hold up to `top` high, mm.

    Raises
    ------
    ParameterError
        When two bores meet.
    """
    rows = []
    for other in others:
        least, place = between(hole, other, top), f"{other.x:.1f}, {other.y:.1f} mm"
        if least.value <= 0.0:
            raise ParameterError(
                f"A bore at {hole.x:.1f}, {hole.y:.1f} mm was requested, but it meets the bore at {place}; "
                f"put them {wall - least.value:.1f} mm farther apart."
            )
        words = f"Between this pocket and that of the bore at {place} there is"
        rows.append(("near_bore", least, wall, words, "Move them apart."))
    return shortfalls(rows, even=0.0)


def _seat(hole: Hole, figures: BoreFigures, wanted: Wanted, requested: float) -> list[Finding]:
    share = figures.seat_share
    if share.value < 1.0:
        area = np.pi / 4 * (hole.ring_diameter**2 - hole.clearance_diameter**2)
        area += hole.slot * (hole.ring_diameter - hole.clearance_diameter)
        text = f"Only {share.value:.0%} of the seat's {area:.0f} mm2 is on material: the pocket breaks out."
        advice = "Move the bore inward, set the seat deeper, or take a smaller washer."
        where = point(share.place)
        return [Finding("seat_broken", "error", text, share.value * area, area, "mm2", where, advice)]
    if abs(requested - hole.seat) <= EVEN or figures.thickness.value < wanted.rule.under_seat - 1e-6:
        return []
    text = (
        f"The seat was requested {requested:.1f} mm above the back; it is at {hole.seat:.1f} mm, where all "
        "of it is on material."
    )
    return [Finding("seat_moved", "note", text, hole.seat, requested, "mm", (hole.x, hole.y, hole.seat))]


def _proud(hole: Hole, figures: BoreFigures, stack: float) -> list[Finding]:
    proud = hole.seat + stack - figures.lowest_edge.value
    if figures.seat_share.value < 1.0 or proud <= EVEN:
        return []
    text = f"The head stands {proud:.1f} mm above the lowest surface over the pocket."
    advice = "Choose a place where the hold is higher, or set the seat deeper."
    return [Finding("head_proud", "note", text, proud, 0.0, "mm", point(figures.lowest_edge.place), advice)]


def _lip(figures: BoreFigures) -> list[Finding]:
    lip = figures.lip_volume
    if lip.value < LIP_SPECK:
        return []
    text = (
        "An overhanging lip stands in the way of bolt, washer and key: the pocket cuts "
        f"{volume_text(lip.value)} out of it."
    )
    advice = "Move the bore out from under the lip."
    return [Finding("lip_cut", "warning", text, lip.value, 0.0, "mm3", point(lip.place), advice)]


def _key(hole: Hole, figures: BoreFigures, stack: float) -> list[Finding]:
    """Report where the hold stands so high round the pocket that an ordinary key does not reach the head."""
    reach = figures.highest_edge.value - hole.seat - stack
    if reach <= KEY_REACH:
        return []
    text = f"The key must reach {reach:.0f} mm down to the head."
    advice = "Have a longer key at hand, set the seat higher, or choose another place."
    where = point(figures.highest_edge.place)
    return [Finding("head_deep", "warning", text, reach, KEY_REACH, "mm", where, advice)]


def tilt_findings(hole: Hole, hardware: BoltAndWasher) -> list[Finding]:
    """Report what a leaning bore does to a bolt that its T-nut holds square to the panel."""
    if hole.upright:
        return []
    up = hole.axis[2]
    sideways = math.hypot(hole.axis[0], hole.axis[1])
    tangent = sideways / up
    # A slot gives play as far as it runs the way the axis leans.
    along = abs(hole.axis[0] * hole.slot_along[0] + hole.axis[1] * hole.slot_along[1]) / sideways
    play = hole.clearance_diameter - hardware.screw.d + hole.slot * along
    needed, gap = hole.seat * up * tangent, hole.ring_diameter * tangent
    passes = "which it has" if needed <= play else f"and has {play:.1f} mm"
    text = (
        f"The bore leans {math.degrees(math.atan(tangent)):.1f} degrees, but a T-nut holds its bolt square "
        f"to the panel: then what presses on the seat bears on one edge and stands {gap:.1f} mm off at the "
        f"other, and the bolt needs {needed:.1f} mm of play in the hole, {passes}."
    )
    advice = "Lean a bore only for a nut that leans as much; else set the tilt to 0."
    return [Finding("bore_leans", "warning", text, needed, play, "mm", hole.foot, advice)]


def slot_findings(hole: Hole, hardware: BoltAndWasher) -> list[Finding]:
    """Report where washer or head no longer cover a slot, and what a countersunk head does in one."""
    if hole.slot == 0.0:
        return []
    where = point(hole.on_axis(hole.seat) + hole.half_slot)
    if hole.cone_angle is not None:
        text = "A countersunk head in a slot bears on two lines alone and wedges them apart."
        advice = "Choose a bolt with a flat head and a large washer, or a round hole."
        return [Finding("slot_under_cone", "warning", text, where=where, advice=advice)]
    washer = f"'{hardware.washer.name}'" if hardware.washer else "The bare head"
    radius = (hardware.washer.outer if hardware.washer else hardware.screw.head.bearing) / 2
    # The bolt at one end: the slot's other end is the whole slot away; in the middle, half of it.
    in_middle, at_end = (radius - hole.hole_radius - share * hole.slot for share in (0.5, 1.0))
    if at_end >= 0.0:
        return []
    place = "wherever the bolt stands" if in_middle < 0.0 else "with the bolt at its end"
    return [
        Finding(
            "slot_uncovered",
            "error" if in_middle < 0.0 else "warning",
            f"{washer} does not cover the slot {place}: {-at_end:.1f} mm of it stay open.",
            2 * radius,
            hole.clearance_diameter + 2 * hole.slot,
            "mm",
            where,
            f"Shorten the slot to {max(radius - hole.hole_radius, 0.0):.1f} mm, or take a larger washer.",
        )
    ]


def print_findings(hole: Hole, printed: Printed) -> list[Finding]:
    """Report what of a bore is printed over air; printed on its back it opens upwards, and nothing is."""
    if printed == "on its back":
        return []
    span, pocket = 0.0, hole.pocket_diameter
    if printed == "on its edge":
        # What of a lying circle is flatter than 45 degrees: a chord of it.
        span = pocket * math.sin(math.radians(STEEPEST)) + hole.slot
        words = f"the roof of the lying pocket bridges {span:.1f} mm"
    elif hole.cone_angle is None:
        span = (pocket - hole.clearance_diameter) / 2
        words = (
            f"the seat is a ceiling that bridges {span:.1f} mm all round, {pocket + hole.slot:.1f} mm across"
        )
    else:
        words = f"the countersink overhangs by {hole.cone_angle / 2:g} degrees, without a bridge"
    wide = span > BRIDGE
    return [
        Finding(
            "bore_bridges",
            "warning" if wide else "note",
            f"Printed {printed}, {words}.",
            span,
            BRIDGE,
            "mm",
            point(hole.on_axis(hole.seat)),
            "Print it on its back, or support it there." if wide else "",
        )
    ]
