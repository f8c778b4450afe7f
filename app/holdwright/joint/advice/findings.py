"""What deserves a look in a joint card."""

from collections.abc import Iterator, Sequence

from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.joint.advice.holding_findings import holding_findings
from holdwright.joint.advice.panel_findings import panel_findings
from holdwright.joint.advice.strength_findings import strength_findings
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.fasteners.bearing import spreading_force


def joint_findings(cards: Sequence[JointCard]) -> tuple[Finding, ...]:
    """Judge a hold's joint: what concerns the whole hold once, then each bore's seat and bolt."""
    if not cards:
        return ()
    whole = holding_findings(cards[0])
    own = (
        finding
        for card in cards
        for finding in (*_seat(card), *_bolt(card), *strength_findings(card), *panel_findings(card))
    )
    return (*whole, *own)


def _seat(card: JointCard) -> Iterator[Finding]:
    pressure, conditions, washer = card.seat_pressure, card.conditions, card.hardware.washer
    short = conditions.material.allowable_short or 0.0
    most = pressure.range.high if pressure.range else pressure.value or 0.0
    if not pressure.surely_within_limit:
        yield new_finding(
            "seat_overloaded",
            most,
            pressure.limit,
            card.seat_point,
            severity="error" if (pressure.value or 0.0) > short else None,
            torque=conditions.torque,
            material=conditions.material.name,
            short=short,
            most=conditions.torque * conditions.allowable / most,
            wider="" if card.hardware.screw.head.angle else ", or put a wider washer under the head",
        )
    spread = spreading_force(card.hardware.screw, card.preload.high)
    if spread > 0.0:
        yield new_finding("cone_spreads", where=card.seat_point, spread=spread)
    if washer is not None and washer.outer > card.bore.pocket_diameter:
        pocket = card.bore.pocket_diameter
        yield new_finding("washer_wider_than_pocket", where=card.seat_point, washer=washer, pocket=pocket)


def _bolt(card: JointCard) -> Iterator[Finding]:
    tension = card.bolt_tension
    if tension.range and not tension.surely_within_limit:
        yield new_finding("bolt_overloaded", tension.range.high, tension.limit, card.seat_point)
