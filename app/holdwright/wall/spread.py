"""Hanging a set's holds over a wall by chance: as evenly as their number allows, where nothing is wrong."""

from collections.abc import Mapping, Sequence
from random import Random
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import signed_area
from holdwright.wall.hanging_hold import HangingHold
from holdwright.wall.hung import Hung
from holdwright.wall.t_nut_grid import t_nuts
from holdwright.wall.wall_file import ClimbingWall
from holdwright.wall.wall_findings import findings_alone, findings_beside

TRIED: Final = 24
"""Places tried for each hold; the best of those where nothing is wrong is taken."""

TURN: Final = 15
"""Turns are whole multiples of so many degrees."""


def spread(
    wall: ClimbingWall, holds: Mapping[str, tuple[HangingHold, int]], seed: int
) -> tuple[list[Hung], list[str]]:
    """Hang every copy of every hold, the largest first.

    Returns
    -------
    hung, left
        Where each hangs, numbered from 1, and names of those for which no place was found.
    """
    chance = Random(seed)
    places = t_nuts(wall)
    at = np.array(list(places.values())).reshape(-1, 2)
    wanted = [hold for hold, count in holds.values() for _ in range(count)]
    wanted.sort(key=lambda hold: -signed_area(hold.outline))
    hanging: list[Hung] = []
    left: list[str] = []
    for hold in wanted:
        best = _best(wall, hold, hanging, places, at, chance)
        if best is None:
            left.append(hold.name)
        else:
            hanging.append(best)
    return hanging, left


def _best(
    wall: ClimbingWall,
    hold: HangingHold,
    hanging: Sequence[Hung],
    places: Mapping[str, tuple[float, float]],
    at: Floats,
    chance: Random,
) -> Hung | None:
    """Give the place farthest from what hangs, of those tried; yet within reach of it where that can be."""
    names = list(places)
    chance.shuffle(names)
    taken = {one.t_nut for one in hanging}
    best: tuple[tuple[bool, float], Hung] | None = None
    tried = 0
    for name in names:
        if tried >= TRIED and best is not None:
            break
        if name in taken:
            continue
        turn = 0.0 if hold.one_way_up else float(TURN * chance.randrange(360 // TURN))
        one = Hung(len(hanging) + 1, hold, name, places[name], turn)
        tried += 1
        if any(findings_alone(one, wall, at)) or any(findings_beside(one, hanging, wall)):
            continue
        near = min((float(np.hypot(*np.subtract(one.at, other.at))) for other in hanging), default=0.0)
        score = (near <= wall.margins.reach, near)
        if best is None or score > best[0]:
            best = score, one
    return best[1] if best else None
