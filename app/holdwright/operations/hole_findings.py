"""Findings about a hole."""

import math
from collections.abc import Iterable

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import HoleCut
from holdwright.geometry.hole.hole_figures import BoreFigures, ScrewFigures
from holdwright.geometry.hole.hole_site import Least
from holdwright.geometry.hole.hole_thickness import between
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import in_cm3, limit_of, new_finding
from holdwright.operations.bore_plan import BorePlan, Printed

EVEN = 0.05
"""Differences up to this are not worth a word, mm."""
LIP_SPECK = 10.0
"""A lip cut by less than this is not worth a word, mm3."""
STEEPEST = 45.0
"""A roof that leans no farther than this from upright carries itself, degrees: common practice, no source."""
SOME = 0.02
"""Share of a countersink that may lack material before it is worth a word: a few columns at its rim."""
MOST = 0.5
"""Share of a head on the grip surface above which it is worth a word."""


def bore_findings(figures: BoreFigures, plan: BorePlan) -> list[Finding]:
    """Report on one bore, its neighbours aside."""
    return [
        *_place_findings(figures, plan),
        *_tilt_findings(figures.hole, plan),
        *_slot_findings(figures.hole, plan),
    ]


def _place_findings(figures: BoreFigures, plan: BorePlan) -> list[Finding]:
    hole, requested, required, stack = figures.hole, figures.requested, plan.parameters, plan.stack
    codes = ("thin_under_seat", "thin_wall_at_bore", "thin_wall_at_pocket", "near_edge")
    limits = figures.limits(plan.requirements())
    findings = shortfalls((code, *limit) for code, limit in zip(codes, limits, strict=True))
    share, lowest, highest = figures.seat_share, figures.lowest_edge, figures.highest_edge
    if share.value < 1.0:
        area = np.pi / 4 * (hole.ring_diameter**2 - hole.clearance_diameter**2)
        area += hole.slot * (hole.ring_diameter - hole.clearance_diameter)
        findings.append(new_finding("seat_broken", share.value * area, area, share.place, share=share.value))
    elif abs(requested - hole.seat) > EVEN and figures.under_seat.value >= required.under_seat - 1e-6:
        findings.append(new_finding("seat_moved", hole.seat, requested, (hole.x, hole.y, hole.seat)))
    if share.value >= 1.0 and (proud := hole.seat + stack - lowest.value) > EVEN:
        findings.append(new_finding("head_proud", proud, where=lowest.place))
    if (lip := figures.lip_volume).value >= LIP_SPECK:
        findings.append(new_finding("lip_cut", lip.value, where=lip.place, volume=in_cm3(lip.value)))
    # Where the hold stands so high round the pocket, an ordinary key does not reach the head.
    if (reach := highest.value - hole.seat - stack) > limit_of("head_deep"):
        findings.append(new_finding("head_deep", reach, where=highest.place))
    return findings


def neighbour_findings(hole: Hole, others: Iterable[Hole], required: float, top: float) -> list[Finding]:
    """Report which other bores are nearer than the required thickness, in a hold up to `top` high, mm.

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
                f"put them {required - least.value:.1f} mm farther apart."
            )
        findings += shortfalls([("near_bore", least, required)], even=0.0, place=place)
    return findings


def _tilt_findings(hole: Hole, plan: BorePlan) -> list[Finding]:
    """Report what a leaning bore does to a bolt that its T-nut holds square to the panel."""
    if hole.upright:
        return []
    up = hole.axis[2]
    sideways = math.hypot(hole.axis[0], hole.axis[1])
    tangent = sideways / up
    # A slot gives play as far as it runs the way the axis leans.
    along = abs(hole.axis[0] * hole.slot_along[0] + hole.axis[1] * hole.slot_along[1]) / sideways
    play = hole.clearance_diameter - plan.screw.d + hole.slot * along
    tilt, gap = math.degrees(math.atan(tangent)), hole.ring_diameter * tangent
    return [new_finding("bore_leans", hole.seat * up * tangent, play, hole.foot, tilt=tilt, gap=gap)]


def _slot_findings(hole: Hole, plan: BorePlan) -> list[Finding]:
    """Report where washer or head no longer cover a slot, and what a countersunk head does in one."""
    if hole.slot == 0.0:
        return []
    where = hole.on_axis(hole.seat) + hole.half_slot
    if hole.cone_angle is not None:
        return [new_finding("slot_under_cone", where=where)]
    radius = (plan.washer.outer if plan.washer else plan.screw.head.bearing) / 2
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
            washer=f"'{plan.washer.name}'" if plan.washer else "The bare head",
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
        across = pocket + hole.slot
        bridge = f"the seat is a ceiling that bridges {span:.1f} mm all round, {across:.1f} mm across"
    else:
        bridge = f"the countersink overhangs by {hole.cone_angle / 2:g} degrees, without a bridge"
    where, words = hole.on_axis(hole.seat), {"printed": printed, "bridge": bridge}
    if span > limit_of("bore_bridges"):
        return [new_finding("bore_bridges", span, None, where, severity=None, advice=None, **words)]
    return [new_finding("bore_bridges", span, None, where, severity="note", advice="", **words)]


def screw_findings(figures: ScrewFigures, cut: HoleCut, tilt: float) -> tuple[Finding, ...]:
    """Report on a screw hole whose axis leans by `tilt`, degrees."""
    required = figures.required
    distances = [("screw_breaks_wall", "thin_wall_at_screw", figures.thickness)]
    codes = [("screw_near_bore:into", "screw_near_bore")] * len(figures.around.bores)
    codes += [("screw_near_screw:into", "screw_near_screw")] * len(figures.around.screws)
    distances += [(*code, each) for code, each in zip(codes, figures.to_holes, strict=True)]
    distances += [("", "screw_near_tip", each) for each in figures.tips]
    under, edge = (figures.under_head, required.under_head), (figures.edge, required.edge)
    findings = shortfalls([("thin_under_head", *under), ("screw_near_edge", *edge)], EVEN)
    for through, thin, least in distances:
        if through and least.value < 0.0:
            findings.append(
                new_finding(through, least.value, required.thickness, least.place, depth=-least.value)
            )
        else:
            findings += shortfalls([(thin, least, required.thickness)], EVEN)
    return (*findings, *_head(figures, tilt), *piece_findings(cut, "screw hole", "screw"))


def _head(figures: ScrewFigures, tilt: float) -> list[Finding]:
    findings, bare, on_grip = [], figures.bare, figures.on_grip
    deep, blocked = figures.depth, figures.blocked
    if bare.value > SOME:
        advice = "Lean the screw less, or move it inward." if tilt > 0.0 else None
        findings.append(new_finding("countersink_broken", 100 * bare.value, where=bare.place, advice=advice))
    if on_grip.value > MOST:
        findings.append(new_finding("screw_on_grip", 100 * on_grip.value, where=on_grip.place))
    if deep.value > limit_of("deep_head"):
        wide = figures.hole.pocket_diameter
        findings.append(new_finding("deep_head", deep.value, where=deep.place, wide=wide))
    if blocked is not None:
        room = figures.required.driver / 2
        findings.append(new_finding("driver_blocked", blocked.value, where=blocked.place, room=room))
    return findings


def shortfalls(
    figures: Iterable[tuple[str, Least, float]], even: float = 1e-6, place: str = ""
) -> list[Finding]:
    """Report figures more than `even` below their limit: each as code, figure, limit."""
    return [
        new_finding(code, least.value, limit, least.place, shown=max(least.value, 0.0), place=place)
        for code, least, limit in figures
        if least.value < limit - even
    ]


def piece_findings(cut: HoleCut, what: str, smaller: str) -> list[Finding]:
    """Report what came loose; `what` cut it, and `smaller` is what to take instead."""
    return [
        new_finding(code, volume, where=centre, cut=what, volume=in_cm3(volume), smaller=smaller)
        for code, pieces in (("sliver_left", cut.slivers), ("hold_parted", cut.loose))
        for volume, centre in ((piece.volume, piece.bounds.mean(axis=0)) for piece in pieces)
    ]
