"""What starts in the air, with nothing below it and nothing beside it."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import IN_AIR, PrintedHold
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import counted, new_finding
from holdwright.progress import Progress


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    found = [each for each in printed.in_air(progress) if not each.held]
    if not found:
        return Checked(0.0, 0.0)
    largest = max(found, key=lambda each: each.area)
    place, number = point((*largest.place, largest.middle)), float(len(found))
    finding = new_finding("island", number, 0.0, place, number=counted(len(found), "island"))
    return Checked(number, 0.0, place, (finding,))


ISLANDS = Check("island", "Islands", IN_AIR, _look)
