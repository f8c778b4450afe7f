"""How far lines are drawn through the air from side to side."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import new_finding


def _look(printed: PrintedHold) -> Checked:
    limit = printed.requested.widest_bridge
    found = [
        (each.span, point((*each.place, each.middle)), name)
        for name, parts in printed.in_air.items()
        for each in parts
        if each.bridges
    ]
    if not found:
        return Checked(0.0, limit, words="nothing to bridge")
    widest = {name: max(each for each in found if each[2] == name) for _, _, name in found}
    findings = tuple(
        new_finding("wide_bridge", span, limit, place, part=name)
        for span, place, name in widest.values()
        if span > limit
    )
    span, place, name = max(widest.values())
    return Checked(span, limit, place, findings, words=name)


BRIDGES = Check("wide_bridge", "Bridges", (*IN_AIR, "widest_bridge"), _look)
