"""What a bore's kind asks of the maker: a leaning axis, a slot, a bridge in the print, a long key."""

import math

from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_check import BoreFigures
from holdwright.hold.finding import Finding, Severity, point
from holdwright.operations.bore_parameters import Printed
from holdwright.operations.bore_plan import Hardware

BRIDGE = 10.0
"""A bridge up to this comes out with most materials (ranges begin at 10 mm for PETG, ABS, ASA, at 20 for PLA;
common practice, no source), mm."""

STEEPEST = 45.0
"""A roof that leans no farther than this from upright carries itself, degrees: common practice, no source."""

KEY_REACH = 100.0
"""Reach of a long hex key or bit, mm: common practice, no source."""


def tilt_findings(shape: BoreShape, hardware: Hardware) -> list[Finding]:
    """Say what a leaning bore does to a bolt that its T-nut holds square to the panel."""
    if shape.upright:
        return []
    up = shape.axis[2]
    sideways = math.hypot(shape.axis[0], shape.axis[1])
    tangent = sideways / up
    # A slot gives play as far as it runs the way the axis leans.
    along = abs(shape.axis[0] * shape.slot_along[0] + shape.axis[1] * shape.slot_along[1]) / sideways
    play = shape.clearance_diameter - hardware.screw.d + shape.slot * along
    needed, gap = shape.seat * up * tangent, shape.ring_diameter * tangent
    passes = "which it has" if needed <= play else f"and has {play:.1f} mm"
    return [
        Finding(
            "bore_leans",
            "warning",
            f"The bore leans {math.degrees(math.atan(tangent)):.1f} degrees, but a T-nut holds its bolt "
            "square to the panel: then what presses on the seat bears on one edge and stands "
            f"{gap:.1f} mm off at the other, and the bolt needs {needed:.1f} mm of play in the hole, "
            f"{passes}.",
            measured=needed,
            limit=play,
            unit="mm",
            where=(shape.x, shape.y, 0.0),
            advice="Lean a bore only for a nut that leans as much; else set the tilt to 0.",
        )
    ]


def slot_findings(shape: BoreShape, hardware: Hardware) -> list[Finding]:
    """Say where washer or head no longer cover a slot, and what a countersunk head does in one."""
    if shape.slot == 0.0:
        return []
    where = point(shape.on_axis(shape.seat) + shape.half_slot)
    if shape.cone_angle is not None:
        return [
            Finding(
                "slot_under_cone",
                "warning",
                "A countersunk head in a slot bears on two lines alone and wedges them apart.",
                where=where,
                advice="Choose a screw with a flat head and a large washer, or a round hole.",
            )
        ]
    washer = f"'{hardware.washer.name}'" if hardware.washer else "The bare head"
    radius = (hardware.washer.outer if hardware.washer else hardware.screw.head.bearing) / 2
    hole = shape.clearance_diameter / 2
    # The bolt at one end: the slot's other end is the whole slot away; in the middle, half of it.
    in_middle, at_end = (radius - hole - share * shape.slot for share in (0.5, 1.0))
    if at_end >= 0.0:
        return []
    severity: Severity = "error" if in_middle < 0.0 else "warning"
    place = "wherever the bolt stands" if in_middle < 0.0 else "with the bolt at its end"
    return [
        Finding(
            "slot_uncovered",
            severity,
            f"{washer} does not cover the slot {place}: {-at_end:.1f} mm of it stay open.",
            measured=2 * radius,
            limit=shape.clearance_diameter + 2 * shape.slot,
            unit="mm",
            where=where,
            advice=f"Shorten the slot to {max(radius - hole, 0.0):.1f} mm, or take a larger washer.",
        )
    ]


def print_findings(shape: BoreShape, printed: Printed) -> list[Finding]:
    """Say what of a bore is to be printed over air; printed on its back it opens upwards, and nothing is."""
    if printed == "on its back":
        return []
    hole, pocket = shape.clearance_diameter, shape.pocket_diameter
    where = point(shape.on_axis(shape.seat))
    if printed == "on its edge":
        # What of a lying circle is flatter than 45 degrees: a chord of it.
        span = pocket * math.sin(math.radians(STEEPEST)) + shape.slot
        words = f"the roof of the lying pocket bridges {span:.1f} mm"
    elif shape.cone_angle is None:
        span = (pocket - hole) / 2
        words = (
            f"the seat is a ceiling that bridges {span:.1f} mm all round, {pocket + shape.slot:.1f} mm across"
        )
    else:
        span = 0.0
        words = f"the countersink overhangs by {shape.cone_angle / 2:g} degrees, without a bridge"
    severity: Severity = "warning" if span > BRIDGE else "note"
    return [
        Finding(
            "bore_bridges",
            severity,
            f"Printed {printed}, {words}.",
            measured=span,
            limit=BRIDGE,
            unit="mm",
            where=where,
            advice="Print it on its back, or support it there." if span > BRIDGE else "",
        )
    ]


def key_findings(shape: BoreShape, figures: BoreFigures, hardware: Hardware) -> list[Finding]:
    """Say where the hold stands so high round the pocket that an ordinary key does not reach the head."""
    reach = figures.highest_edge.value - shape.seat - hardware.stack
    if reach <= KEY_REACH:
        return []
    return [
        Finding(
            "head_deep",
            "warning",
            f"The key must reach {reach:.0f} mm down to the head.",
            measured=reach,
            limit=KEY_REACH,
            unit="mm",
            where=point(figures.highest_edge.place),
            advice="Have a longer key at hand, set the seat higher, or choose another place.",
        )
    ]
