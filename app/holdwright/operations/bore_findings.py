"""What deserves a look about a bore."""

import math
from collections.abc import Iterable

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_check import BoreFigures
from holdwright.geometry.hole.hole_walls import between
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.hold.finding import Finding, Severity
from holdwright.hold.finding_builder import in_cm3, limit_of, new_finding
from holdwright.operations.bore_parameters import Printed
from holdwright.operations.bore_plan import BoltAndWasher
from holdwright.operations.hole_step import shortfalls

EVEN = 0.05
"""Differences up to this are not worth a word, mm."""
LIP_SPECK = 10.0
"""A lip cut by less than this is not worth a word, mm3."""

STEEPEST = 45.0
"""A roof that leans no farther than this from upright carries itself, degrees: common practice, no source."""


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
    findings = shortfalls(
        [
            ("thin_under_seat", figures.thickness, wanted.rule.under_seat),
            ("thin_wall_at_bore", figures.wall_at_bore, wanted.wall),
            ("thin_wall_at_pocket", figures.wall_at_pocket, wanted.wall),
            ("near_edge", figures.edge, wanted.edge),
        ]
    )
    share, lowest, highest = figures.seat_share, figures.lowest_edge, figures.highest_edge
    if share.value < 1.0:
        area = np.pi / 4 * (hole.ring_diameter**2 - hole.clearance_diameter**2)
        area += hole.slot * (hole.ring_diameter - hole.clearance_diameter)
        findings.append(new_finding("seat_broken", share.value * area, area, share.place, share=share.value))
    elif abs(requested - hole.seat) > EVEN and figures.thickness.value >= wanted.rule.under_seat - 1e-6:
        findings.append(new_finding("seat_moved", hole.seat, requested, (hole.x, hole.y, hole.seat)))
    if share.value >= 1.0 and (proud := hole.seat + stack - lowest.value) > EVEN:
        findings.append(new_finding("head_proud", proud, where=lowest.place))
    if (lip := figures.lip_volume).value >= LIP_SPECK:
        findings.append(new_finding("lip_cut", lip.value, where=lip.place, volume=in_cm3(lip.value)))
    # Where the hold stands so high round the pocket, an ordinary key does not reach the head.
    if (reach := highest.value - hole.seat - stack) > limit_of("head_deep"):
        findings.append(new_finding("head_deep", reach, where=highest.place))
    return findings


def neighbour_findings(hole: Hole, others: Iterable[Hole], wall: float, top: float) -> list[Finding]:
    """Report which other bores are nearer than a wall, in a hold up to `top` high, mm.

    Raises
    ------
    ParameterError
        When two bores meet.
    """
    findings = []
    for other in others:
        least, place = between(hole, other, top), f"{other.x:.1f}, {other.y:.1f} mm"
        if least.value <= 0.0:
            raise ParameterError(
                f"A bore at {hole.x:.1f}, {hole.y:.1f} mm was requested, but it meets the bore at {place}; "
                f"put them {wall - least.value:.1f} mm farther apart."
            )
        findings += shortfalls([("near_bore", least, wall)], even=0.0, place=place)
    return findings


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
    tilt, gap = math.degrees(math.atan(tangent)), hole.ring_diameter * tangent
    return [new_finding("bore_leans", hole.seat * up * tangent, play, hole.foot, tilt=tilt, gap=gap)]


def slot_findings(hole: Hole, hardware: BoltAndWasher) -> list[Finding]:
    """Report where washer or head no longer cover a slot, and what a countersunk head does in one."""
    if hole.slot == 0.0:
        return []
    where = hole.on_axis(hole.seat) + hole.half_slot
    if hole.cone_angle is not None:
        return [new_finding("slot_under_cone", where=where)]
    radius = (hardware.washer.outer if hardware.washer else hardware.screw.head.bearing) / 2
    # The bolt at one end: the slot's other end is the whole slot away; in the middle, half of it.
    in_middle, at_end = (radius - hole.hole_radius - share * hole.slot for share in (0.5, 1.0))
    if at_end >= 0.0:
        return []
    return [
        new_finding(
            "slot_uncovered",
            2 * radius,
            hole.clearance_diameter + 2 * hole.slot,
            where,
            severity="error" if in_middle < 0.0 else None,
            washer=f"'{hardware.washer.name}'" if hardware.washer else "The bare head",
            place="wherever the bolt stands" if in_middle < 0.0 else "with the bolt at its end",
            bare=-at_end,
            longest=max(radius - hole.hole_radius, 0.0),
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
        bridge = f"the roof of the lying pocket bridges {span:.1f} mm"
    elif hole.cone_angle is None:
        span = (pocket - hole.clearance_diameter) / 2
        bridge = (
            f"the seat is a ceiling that bridges {span:.1f} mm all round, {pocket + hole.slot:.1f} mm across"
        )
    else:
        bridge = f"the countersink overhangs by {hole.cone_angle / 2:g} degrees, without a bridge"
    where, wide = hole.on_axis(hole.seat), span > limit_of("bore_bridges")
    severity: Severity = "warning" if wide else "note"
    advice = None if wide else ""
    return [
        new_finding(
            "bore_bridges",
            span,
            where=where,
            severity=severity,
            advice=advice,
            printed=printed,
            bridge=bridge,
        )
    ]
