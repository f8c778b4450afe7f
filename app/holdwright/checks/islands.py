"""What starts in the air, with nothing below it and nothing beside it."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import counted, new_finding


def _look(printed: PrintedHold) -> Checked:
    total, findings = 0, []
    for name, parts in printed.in_air.items():
        found = [each for each in parts if not each.held]
        total += len(found)
        if found:
            largest = max(found, key=lambda each: each.area)
            place = point((*largest.place, largest.middle))
            number = counted(len(found), "island")
            findings.append(new_finding("island", float(len(found)), 0.0, place, part=name, number=number))
    return Checked(float(total), 0.0, findings[0].where if findings else None, tuple(findings))


ISLANDS = Check("island", "Islands", IN_AIR, _look)
