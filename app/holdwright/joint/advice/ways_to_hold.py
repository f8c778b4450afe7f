"""What keeps a hold from turning where friction alone does not, each way with the safety that it gives."""

from collections.abc import Iterator
from dataclasses import replace

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Washer
from holdwright.hold.feature import Bore
from holdwright.hold.finding_builder import counted
from holdwright.hold.hold import Hold
from holdwright.joint.advice.relief_gain import relief_gain
from holdwright.joint.card.clamped_hold import ENOUGH
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.card.screws import torque_held
from holdwright.joint.conditions import Conditions
from holdwright.joint.holding.joint_shape import JointShape, joint_shape, loads_on_hold
from holdwright.joint.holding.loads import Loads

WORTH = 1.1
"""A way that gains less than this factor is not told."""


def ways_to_hold(
    hold: Hold,
    bore: Bore,
    conditions: Conditions,
    catalogue: Catalogue,
    second: Bore | None = None,
    *,
    loads: Loads | None = None,
) -> str:
    """Say in a sentence what would keep a hold from turning, were it bored there; empty where friction does.

    Parameters
    ----------
    hold
        Before it is bored, finished back on z = 0.
    second
        Where another bolt could go.
    loads
        Where the hold can be loaded, where that is known.

    Raises
    ------
    HoldwrightError
        As of `joint_shape` and `joint_cards`.
    """
    loads = loads or loads_on_hold(hold, hold.whole)
    shape = joint_shape(hold.with_whole(hold.whole, bore), loads=loads)
    card = joint_cards(shape, conditions, catalogue)[0]
    now = card.spin.value or 0.0
    if now >= ENOUGH:
        return ""
    ways = [*_ways(shape, card, conditions, catalogue)]
    if second is not None:
        both = joint_shape(hold.with_whole(hold.whole, bore, second), loads=loads)
        spin = joint_cards(both, conditions, catalogue)[0].spin
        ways.append(("with another bolt at place 2", spin.value or 0.0))
    told = ", ".join(f"{words} {safety:.2f}" for words, safety in ways if safety > now * WORTH)
    return (
        f"Friction alone does not keep it from turning, a safety of {now:.2f} of at least {ENOUGH:g}; "
        f"{told or 'nor would a relieved back, and there is no room for wood screws'}."
    )


def _ways(
    shape: JointShape, card: JointCard, conditions: Conditions, catalogue: Catalogue
) -> Iterator[tuple[str, float]]:
    gain = relief_gain(shape, conditions, catalogue)
    if gain is not None:
        yield "with a relieved back", gain.after
    if card.screws.value:
        many = int(card.screws.value)
        held = torque_held([*card.existing_screws, *card.further_screws[:many]])
        torque = (card.friction_torque.value or 0.0) + (card.bolt_torque.value or 0.0) + held
        yield f"with {counted(many, 'wood screw')}", torque / (card.applied_torque.value or 1.0)
    wider = _wider(card, catalogue)
    if wider is not None:
        bore = card.bore
        pocket = max(bore.pocket_diameter, wider.outer + 1.0)
        bored = [replace(each, pocket_diameter=pocket) if each == bore else each for each in shape.bores]
        tried = replace(conditions, washer=wider)
        safety = joint_cards(replace(shape, bores=tuple(bored)), tried, catalogue)[0].spin.value or 0.0
        yield f"under {wider.name}", safety


def _wider(card: JointCard, catalogue: Catalogue) -> Washer | None:
    """Give the widest washer for the bolt, where one is wider than what presses; none for a sunk head."""
    screw, washer = card.hardware.screw, card.hardware.washer
    if screw.head.angle is not None:
        return None
    least = washer.outer if washer is not None else screw.head.bearing
    fitting = [
        each
        for each in catalogue.washers
        if each.outer > least and screw.d <= each.hole < screw.head.diameter and each.hole < screw.d * 1.2
    ]
    return max(fitting, key=lambda each: each.outer, default=None)
