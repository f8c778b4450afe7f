"""How far lines are drawn through the air from side to side."""

import numpy as np

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.hold.feature import BackPocket
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import new_finding
from holdwright.progress import Progress


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    limit = printed.requested.widest_bridge
    bridges = [each for each in printed.in_air(progress) if each.bridges]
    places = np.array([(*each.place, each.middle - printed.requested.layer_height / 2.0) for each in bridges])
    own = ~printed.in_ceiling(places) if bridges else np.zeros(0)
    found = [
        (each.span, point(place)) for each, place, kept in zip(bridges, places, own, strict=True) if kept
    ]
    if not found:
        told = "nothing to bridge but the pocket in the back, whose step tells of it"
        return Checked(
            0.0, limit, words=told if bridges or printed.hold.find(BackPocket) else "nothing to bridge"
        )
    span, place = max(found)
    findings = (new_finding("wide_bridge", span, limit, place),) if span > limit else ()
    return Checked(span, limit, place, findings)


BRIDGES = Check("wide_bridge", "Bridges", (*IN_AIR, "widest_bridge"), _look)
