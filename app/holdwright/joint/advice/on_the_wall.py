"""What to do with a finished hold on its wall: tighten, prove, tighten again, keep cool, look after, retire.

All of it is common practice without a source, except where a sentence says otherwise. Nothing of it is a test
to a standard.
"""

import math
from typing import Final

from holdwright.joint.card.joint_card import JointCard

SOURCE: Final = "common practice, no source"

DWELL: Final = 60
"""Seconds that a proof load hangs: as a test of inserts of EN 12572:2007 does, through a secondary page."""

BELOW_SOFTENING: Final = 10.0
"""Degrees that a hold is kept below the temperature at which its material gives way: common practice."""


def wall_practice(card: JointCard) -> tuple[tuple[str, str], ...]:
    """Give title and text of each thing to do, in the order it is done, for the hold of a card."""
    load, most = card.conditions.load, card.window.most
    torque = min(card.conditions.torque, math.floor(most * 10.0) / 10.0)
    less = f", not to {card.conditions.torque:g}," if torque < card.conditions.torque else ""
    screws = bool(card.screws.value or card.existing_screws)
    steps = [
        (
            "Tighten",
            f"Tighten to {torque:g} N m{less} with a torque wrench, by hand, on a clean dry wall; "
            f"never over {most:.3g} N m.{' Then set the wood screws.' if screws else ''}",
        ),
        (
            "Prove",
            f"Low above a mat, hang {load.along / 9.81:.0f} kg on the place farthest from the bolt for "
            f"{DWELL} s: straight down, then pulled to each side. Mark hold and wall before. If it turns, "
            "cracks, whitens or leaves a gap, take it off.",
        ),
        (
            "Tighten again",
            f"To {torque:g} N m after a day, after a week, and at each inspection: plastic creeps under the "
            "head.",
        ),
        (
            "Inspect",
            "Each month where many climb, each quarter at home, and whenever it was dropped or hit: bolt, "
            "seat, edges, layers. Retire a hold that is cracked, whitened or loose for the second time.",
        ),
    ]
    warm = _keep_below(card)
    return (*steps, ("Keep cool", warm)) if warm else tuple(steps)


def _keep_below(card: JointCard) -> str:
    """Say how warm the material may get; blank where its row does not tell."""
    material = card.conditions.material
    softening = material.heat_deflection or material.glass_transition
    if softening is None:
        return ""
    softens = softening[0]
    return (
        f"{material.name} gives way from about {softens:.0f} degrees Celsius: keep it below "
        f"{softens - BELOW_SOFTENING:.0f}, out of the sun behind glass and away from lamps."
    )
