"""Letters in the back, against what the nozzle draws."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.hold.feature import Engraving
from holdwright.hold.finding_builder import new_finding
from holdwright.progress import Progress

_LAYERS = 2
"""Layers that letters are to be deep: one fills as the filament spreads. Common practice, no source."""


def _look(printed: PrintedHold, _: Progress) -> Checked:
    width = max(printed.requested.line_width, printed.requested.nozzle)
    deep = _LAYERS * printed.requested.layer_height
    letters = printed.hold.find(Engraving)
    if not letters:
        return Checked(None, width, words="no letters in the back")
    findings = []
    for each in letters:
        where = (each.x, each.y, each.top)
        if each.stroke < width:
            findings.append(new_finding("letters_too_fine", each.stroke, width, where))
        if each.depth < deep * (1.0 - 1e-9):
            findings.append(new_finding("letters_too_fine:shallow", each.depth, deep, where))
    finest = min(letters, key=lambda each: each.stroke)
    return Checked(finest.stroke, width, (finest.x, finest.y, finest.top), tuple(findings))


LETTERS = Check("letters_too_fine", "Letters", ("layer_height", "line_width", "nozzle"), _look)
