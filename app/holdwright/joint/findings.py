"""What deserves a look in a joint card."""

from collections.abc import Iterator, Sequence

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Washer
from holdwright.hold.finding import Finding, Severity
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


def _of(card: JointCard, code: str, severity: Severity, message: str, advice: str) -> Finding:
    bore = card.bore
    return Finding(code, severity, message, where=(bore.x, bore.y, bore.seat_z), advice=advice)


def _seat(card: JointCard) -> Iterator[Finding]:
    pressure, wanted = card.seat_pressure.value or 0.0, card.conditions
    short = wanted.material.allowable_short or 0.0
    if not card.seat_pressure.kept:
        most = card.window.too_much["seat"]
        yield Finding(
            "seat_overloaded",
            "error" if pressure > short else "warning",
            f"{wanted.torque:g} N m may press on the seat with {pressure:.1f} MPa, where "
            f"{wanted.material.name} bears {wanted.allowable:.1f} MPa for years, {short:.1f} for a moment.",
            pressure,
            wanted.allowable,
            "MPa",
            (card.bore.x, card.bore.y, card.bore.seat_z),
            f"Tighten to {most:.1f} N m at most, or put a wider washer under the head.",
        )
    spread = spreading_force(card.hardware.screw, card.preload.high)
    if spread > 0.0:
        yield _of(
            card,
            "cone_spreads",
            "warning",
            f"The countersunk head spreads the plastic round it with {spread:.0f} N, which splits layers.",
            "Keep 10 mm of wall round it, or take a screw with a flat seat and a washer.",
        )
    washer = card.hardware.washer
    if washer is not None and washer.outer > card.bore.pocket_diameter:
        yield _of(
            card,
            "washer_wider_than_pocket",
            "error",
            f"'{washer.name}' of {washer.outer:g} mm does not go into the pocket of "
            f"{card.bore.pocket_diameter:g} mm.",
            "Bore the hold for this washer.",
        )


def _bolt(card: JointCard) -> Iterator[Finding]:
    length, tension = card.bolt, card.bolt_tension
    if length.length is None:
        yield _of(
            card,
            "no_bolt_long_enough",
            "error",
            f"The bolt must be {length.shortest:.1f} mm long; the longest '{card.hardware.screw.name}' has "
            f"{card.hardware.screw.lengths[-1]:g} mm.",
            "Seat it deeper, or choose another screw.",
        )
    elif length.too_long > 0.0:
        yield _of(
            card,
            "bolt_too_long",
            "warning",
            f"{card.bolt_name} stands {length.too_long:.1f} mm too far out behind the panel.",
            "Choose washer or seat to suit the next shorter length, or make room behind the panel.",
        )
    if length.length is not None and length.engagement < length.wanted - 1e-9:
        yield _of(
            card,
            "short_engagement",
            "warning",
            f"{length.engagement:.1f} mm of thread are engaged; {length.wanted:.1f} mm are wanted.",
            "Use a T-nut with a longer barrel.",
        )
    if not tension.kept:
        yield Finding(
            "bolt_overloaded",
            "error",
            f"The bolt may be pulled with {tension.value:.0f} N; its proof load is {tension.limit:.0f} N.",
            tension.value,
            tension.limit,
            "N",
            (card.bore.x, card.bore.y, card.bore.seat_z),
            "Tighten less, use a stronger class, or place the bore farther from the low edge.",
        )


def _holding(card: JointCard) -> Iterator[Finding]:
    load = f"{card.conditions.mass:g} kg times {card.conditions.factor:g}"
    if not card.spin.kept:
        yield _turns(card, load)
    if not card.slip.kept:
        yield _figure(
            card,
            "hold_slips",
            "note",
            f"Friction alone does not carry {load}: the hold may slip until the bolt's shank stops it.",
            "slip",
            "Use a fine or medium fit, or a wood screw.",
        )
    if not card.overturning.kept:
        yield _figure(
            card,
            "hold_tips",
            "error",
            f"The hold may come off its wall about its far edge under {load}, hanging on its bolt.",
            "overturning",
            "Make the back longer below the bolt, or place the bore higher.",
        )
    if not card.lift.kept:
        never = (card.lift.value or 0.0) == 0.0
        yield _figure(
            card,
            "edge_lifts",
            "warning",
            "Part of the back does not press even without load, since the bolt is far off its middle."
            if never
            else f"An edge of the back may lift under {load}, so that the hold rocks and works loose.",
            "lift",
            "Place the bore nearer to the middle of the back, or make the back bigger.",
        )


def _holds(card: JointCard) -> str:
    friction = f"friction holds {card.friction_torque.value:.1f} N m"
    if not card.screws_there:
        return friction
    count = len(card.screws_there)
    screws = "the wood screw there" if count == 1 else f"the {count} wood screws there"
    return f"{friction} and {screws} {card.screw_torque.value:.1f} N m"


def _turns(card: JointCard, load: str) -> Finding:
    count, screw = card.screws.value, card.conditions.wood_screw.name
    if count is None:
        advice = (
            "The back has no room for a wood screw; make it bigger, or bore nearer to where it is loaded."
        )
    else:
        more = "more " if card.screws_there else ""
        screws = f"{count:g} {more}wood screw{'' if count == 1 else 's'} ({screw})"
        advice = f"Set {screws} {card.screw_distance:.0f} mm from the bolt."
        advice += "" if count <= 2 else " So many tell that the back is small for its reach."
    return _figure(
        card,
        "hold_turns",
        "error" if count is None else "warning",
        f"The hold may turn under {load}: {_holds(card)} of {card.applied_torque.value:.1f} N m once the "
        "plastic has crept.",
        "spin",
        advice,
    )


def _figure(card: JointCard, code: str, severity: Severity, message: str, name: str, advice: str) -> Finding:
    figure = getattr(card, name)
    where = (card.bore.x, card.bore.y, 0.0)
    return Finding(code, severity, message, figure.value, figure.limit, figure.unit, where, advice)


def _window(card: JointCard, catalogue: Catalogue) -> Iterator[Finding]:
    window, torque = card.window, card.conditions.torque
    if window.range is not None:
        low, high = window.range
        if torque < low:
            yield _of(
                card,
                "torque_low",
                "warning",
                f"{torque:g} N m is less than the {low:.1f} N m wanted.",
                f"Tighten to between {low:.1f} and {high:.1f} N m.",
            )
        return
    enough = window.enough[window.governs]
    why = {"spin": "not to turn", "overturning": "not to tip over its far edge"}[window.governs]
    met = f"No torque will do: {enough:.0f} N m would be wanted {why}, but {window.most:.1f} N m is the most."
    yield _of(card, "no_torque_window", "warning", met, " ".join(_ways_out(card, catalogue)))


def _ways_out(card: JointCard, catalogue: Catalogue) -> Iterator[str]:
    washer = _washer_that_will_do(card, catalogue)
    if washer is not None:
        yield f"Bore it for '{washer.name}'."
    with_screws = card.window.range_with_screws
    if with_screws is not None and card.screws.value:
        low, high = with_screws
        yield f"With {card.screws.value:g} wood screws, {low:.1f} to {high:.1f} N m will do."
    wider = max(card.window.enough.values()) / max(card.window.most, 1e-9)
    if wider <= WIDEST:
        yield f"A back {wider:.1f} times as wide would hold without screws."


def _washer_that_will_do(card: JointCard, catalogue: Catalogue) -> Washer | None:
    """Find the smallest washer under which the seat bears the torque wanted."""
    screw, wanted = card.hardware.screw, card.conditions
    enough = max(card.window.enough.values())
    for washer in sorted(catalogue.washers, key=lambda row: row.outer):
        fits = washer.thread == screw.thread and washer.outer > screw.head.diameter
        area = seat_area(screw, washer, card.bore.clearance_diameter)
        if fits and torque_for(wanted.allowable * area, wanted.nut_factor.low, screw.d) >= enough:
            return washer
    return None
