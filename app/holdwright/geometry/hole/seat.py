"""Where a bolt's seat goes.

A maker wants three things of a seat: all of its ring on solid material, enough of it between seat and wall,
and the head out of harm's way. The deeper the seat, the shorter the bolt, but the deeper and weaker the
pocket, the longer the key, and the less material the bolt clamps (a short, stiff clamp of plastic also loses
its preload sooner). So the rule that stands for a machinist's habit is "recessed": just deep enough for head
and washer to lie under the surface round the pocket, yet never with less than the wanted thickness
underneath. A hold 58 mm high with a 2.5 mm washer and a 10 mm head gets its seat near 44 mm and a pocket 13.5
mm deep. Who wants the shortest bolt asks for "thickness": the wanted thickness and no more. All common
practice, no source.
"""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

SeatBy = Literal["recessed", "thickness", "depth"]

FACING = 0.5
"""A seat is cut at least this far below the lowest surface over it, so that all of it is faced, mm."""


@dataclass(frozen=True)
class SeatRule:
    """How high a seat is wanted. Lengths in mm.

    Attributes
    ----------
    by
        "recessed": head and washer `recess` below the lowest surface over the pocket, but at least
        `under_seat` of material underneath; "thickness": exactly `under_seat` underneath; "depth": `depth`
        below the surface on the axis.
    under_seat
        Wanted thickness between seat and wall.
    recess
        Washer, head and what the head is to lie below the surface, together.
    depth
        For "depth" alone.
    """

    by: SeatBy
    under_seat: float
    recess: float
    depth: float = 20.0


def seat_heights(rule: SeatRule, lowest: Any, underside: Any, on_axis: Any) -> tuple[Any, Any]:
    """Give the height a rule asks for, and the height a seat can have.

    Parameters
    ----------
    rule
        The rule.
    lowest
        Lowest height of the material's top over the pocket; floats or arrays of one shape, mm.
    underside
        Highest height of the material's underside below the ring: 0 where the back is flat.
    on_axis
        Height of the material's top on the axis.

    Returns
    -------
    asked, seat
        They differ where the asked height has not all of the ring on material, or is not above the underside.
    """
    if rule.by == "depth":
        asked = on_axis - rule.depth
    else:
        asked = underside + rule.under_seat
        if rule.by == "recessed":
            asked = np.maximum(asked, lowest - rule.recess)
    seat = np.minimum(np.maximum(asked, underside + FACING), lowest - FACING)
    # Where the surface over the pocket is lower than the underside, no whole seat exists: take what is asked.
    whole = lowest - FACING > underside
    return asked, np.where(whole, seat, asked)
