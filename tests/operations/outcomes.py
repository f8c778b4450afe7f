"""What a step said, by the codes of its findings."""

from holdwright.hold.finding import Finding
from holdwright.operations.base import Outcome


def codes(outcome: Outcome) -> list[str]:
    return [each.code for each in outcome.findings]


def finding(outcome: Outcome, code: str) -> Finding:
    """The one finding of a code."""
    (met,) = [each for each in outcome.findings if each.code == code]
    return met
