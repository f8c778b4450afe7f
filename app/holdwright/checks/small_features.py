"""What is narrower than a line, and is left out of its layer."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.layers.layer_stack import too_narrow
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import new_finding


def _look(printed: PrintedHold) -> Checked:
    width = max(printed.requested.line_width, printed.requested.nozzle)
    limit, areas, findings = width * width, [], []
    for name, layers in printed.layers.items():
        area, place, number = too_narrow(layers, width)
        areas.append((area, point(place)))
        if area > limit:
            found = new_finding("too_small", area, limit, place, part=name, width=width, layers=number)
            findings.append(found)
    worst, place = max(areas)
    return Checked(worst, limit, place if worst > 0.0 else None, tuple(findings))


SMALL_FEATURES = Check("too_small", "Small features", ("layer_height", "line_width", "nozzle"), _look)
