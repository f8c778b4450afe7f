"""What is loaded over its strength in a joint: the bolt where the hold slips onto it, core and seat."""

from collections.abc import Iterator
from typing import Any

from holdwright.hold.finding import Finding, Severity
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.figure import Figure


def strength_findings(card: JointCard) -> Iterator[Finding]:
    """Judge one bolt's strength: the likely figure decides, the unsafe end of its range warns."""
    bent, where = card.bolt_bent, card.seat_point
    if not card.together.within_limit and not bent.surely_within_limit:
        yield new_finding("bolt_bends", unsafe_end(bent), bent.limit, where, severity=grade(bent))
    if not card.seat_pull_through.surely_within_limit:
        through = card.seat_pull_through
        thin = card.bore.thickness_under_seat
        needed = thin * (through.limit or 1.0) / max(unsafe_end(through), 1e-9)
        yield new_finding(
            "seat_pulls_through",
            unsafe_end(through),
            through.limit,
            where,
            severity=grade(through),
            thin=thin,
            above=", above the relieved back," if card.relieved else "",
            needed=needed,
        )
    yield from _core(card)


def _core(card: JointCard) -> Iterator[Finding]:
    on, gap, plug, where = card.washer_on_core, card.core_gap.value, card.plug_shear, card.seat_point
    # Below that Split core tells it.
    if on.value is not None and limit_of("washer_off_core") <= on.value and not on.within_limit:
        yield new_finding("washer_beyond_core", on.value, on.limit, where, share=card.core_share.value)
    if gap and plug.surely_within_limit:
        yield new_finding("core_above_wall", gap, where=where)
    elif gap:
        figures: dict[str, Any] = {"gap": gap, "infill": 100.0 * card.conditions.fill.infill}
        yield new_finding("plug_shears", unsafe_end(plug), plug.limit, where, severity=grade(plug), **figures)


def grade(figure: Figure) -> Severity:
    """Give an error where the likely figure is beyond its limit."""
    return "warning" if figure.within_limit else "error"


def unsafe_end(figure: Figure) -> float:
    """Give the end of a figure's range that is told: the likely where that is beyond its limit."""
    if figure.range is None or not figure.within_limit:
        return figure.value or 0.0
    return figure.range.low if figure.sense == "at least" else figure.range.high
