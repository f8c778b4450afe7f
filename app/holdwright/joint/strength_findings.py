"""What is loaded over its strength in a joint: the bolt where the hold slips onto it, core and seat."""

from collections.abc import Iterator

from holdwright.hold.finding import Finding, Severity
from holdwright.hold.finding_builder import new_finding
from holdwright.joint.figure import Figure
from holdwright.joint.joint_card import JointCard


def strength_findings(card: JointCard) -> Iterator[Finding]:
    """Judge one bolt's strength: the likely figure decides, the unsafe end of its range warns."""
    bent, where = card.bolt_bent, card.seat_point
    if not card.together.within_limit and not bent.surely_within_limit:
        yield new_finding("bolt_bends", unsafe_end(bent), bent.limit, where, severity=grade(bent))


def grade(figure: Figure) -> Severity:
    """Give an error where the likely figure is beyond its limit."""
    return "warning" if figure.within_limit else "error"


def unsafe_end(figure: Figure) -> float:
    """Give the end of a figure's range that is told: the likely where that is beyond its limit."""
    if figure.range is None or not figure.within_limit:
        return figure.value or 0.0
    return figure.range.low if figure.sense == "at least" else figure.range.high
