"""What deserves a look in a joint card."""

from collections.abc import Iterator, Sequence

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Washer
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.joint.bearing import seat_area, spreading_force
from holdwright.joint.joint_card import JointCard
from holdwright.joint.preload import torque_for

WIDEST = 3.0
"""A back more than so many times as wide is no advice."""


def joint_findings(cards: Sequence[JointCard], catalogue: Catalogue) -> tuple[Finding, ...]:
    """Say what is wrong with each bore's joint; what concerns the whole hold is said once."""
    if not cards:
        return ()
    whole = [*_holding(cards[0]), *_window(cards[0], catalogue)]
    return (*(finding for card in cards for finding in (*_seat(card), *_bolt(card))), *whole)


def _seat(card: JointCard) -> Iterator[Finding]:
    pressure, conditions, washer = card.seat_pressure, card.conditions, card.hardware.washer
    short = conditions.material.allowable_short or 0.0
    if not pressure.within_limit:
        yield new_finding(
            "seat_overloaded",
            pressure.value,
            pressure.limit,
            card.seat_point,
            severity="error" if (pressure.value or 0.0) > short else None,
            torque=conditions.torque,
            material=conditions.material.name,
            short=short,
            most=card.window.too_much["seat"],
        )
    spread = spreading_force(card.hardware.screw, card.preload.high)
    if spread > 0.0:
        yield new_finding("cone_spreads", where=card.seat_point, spread=spread)
    if washer is not None and washer.outer > card.bore.pocket_diameter:
        pocket = card.bore.pocket_diameter
        yield new_finding("washer_wider_than_pocket", where=card.seat_point, washer=washer, pocket=pocket)


def _bolt(card: JointCard) -> Iterator[Finding]:
    bolt, tension, screw, where = card.bolt, card.bolt_tension, card.hardware.screw, card.seat_point
    if bolt.length is None:
        longest = screw.lengths[-1]
        yield new_finding("no_bolt_long_enough", where=where, bolt=bolt, screw=screw.name, longest=longest)
    elif bolt.too_long > 0.0:
        yield new_finding("bolt_too_long", where=where, bolt=bolt, name=card.bolt_name)
    if bolt.length is not None and not bolt.engaged:
        yield new_finding("short_engagement", where=where, bolt=bolt)
    if not tension.within_limit:
        yield new_finding("bolt_overloaded", tension.value, tension.limit, where)


def _holding(card: JointCard) -> Iterator[Finding]:
    load, where = card.conditions.load_name, (card.bore.x, card.bore.y, 0.0)
    if not card.spin.within_limit:
        yield _turns(card)
    if not card.slip.within_limit:
        yield new_finding("hold_slips", card.slip.value, card.slip.limit, where, load=load)
    if not card.overturning.within_limit:
        yield new_finding("hold_tips", card.overturning.value, card.overturning.limit, where, load=load)
    if not card.lift.within_limit:
        code = "edge_lifts" if card.lift.value else "edge_lifts:unloaded"
        yield new_finding(code, card.lift.value, card.lift.limit, where, load=load)


def _turns(card: JointCard) -> Finding:
    count, present = card.screws.value, len(card.existing_screws)
    resists = f"friction holds {card.friction_torque.value:.1f} N m"
    if present:
        screws = "the present wood screw" if present == 1 else f"the {present} present wood screws"
        resists += f" and {screws} {card.screw_torque.value:.1f} N m"
    more, plural = "more " if present else "", "" if count == 1 else "s"
    return new_finding(
        "hold_turns:no_room" if count is None else "hold_turns",
        card.spin.value,
        card.spin.limit,
        (card.bore.x, card.bore.y, 0.0),
        load=card.conditions.load_name,
        resists=resists,
        applied=card.applied_torque.value,
        screws=f"{count or 0:g} {more}wood screw{plural} ({card.conditions.wood_screw.name})",
        distance=card.screw_distance,
        more="" if (count or 0) <= 2 else " The back is small for its reach.",
    )


def _window(card: JointCard, catalogue: Catalogue) -> Iterator[Finding]:
    window, torque = card.window, card.conditions.torque
    if window.range is None:
        yield new_finding(
            "no_torque_window",
            where=card.seat_point,
            enough=window.enough[window.governs],
            why={"spin": "not to turn", "overturning": "not to tip over its far edge"}[window.governs],
            most=window.most,
            advice=" ".join(_ways_out(card, catalogue)),
        )
    elif torque < window.range[0]:
        low, high = window.range
        yield new_finding("torque_low", where=card.seat_point, torque=torque, low=low, high=high)


def _ways_out(card: JointCard, catalogue: Catalogue) -> Iterator[str]:
    washer = _wide_enough(card, catalogue)
    if washer is not None:
        yield f"Bore it for '{washer.name}'."
    with_screws = card.window.range_with_screws
    if with_screws is not None and card.screws.value:
        low, high = with_screws
        yield f"With {card.screws.value:g} wood screws, {low:.1f} to {high:.1f} N m is usable."
    wider = max(card.window.enough.values()) / max(card.window.most, 1e-9)
    if wider <= WIDEST:
        yield f"A back {wider:.1f} times as wide would hold without screws."


def _wide_enough(card: JointCard, catalogue: Catalogue) -> Washer | None:
    """Find the smallest washer under which the seat bears the torque required."""
    screw, conditions = card.hardware.screw, card.conditions
    enough = max(card.window.enough.values())
    for washer in sorted(catalogue.washers, key=lambda row: row.outer):
        fits = washer.thread == screw.thread and washer.outer > screw.head.diameter
        most = conditions.allowable * seat_area(screw, washer, card.bore.clearance_diameter)
        if fits and torque_for(most, conditions.nut_factor.low, screw.d) >= enough:
            return washer
    return None
