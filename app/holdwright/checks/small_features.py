"""What is narrower than a line, and is left out of its layer."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.layers.layer_stack import too_narrow
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import counted, new_finding
from holdwright.progress import Progress


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    width = max(printed.requested.line_width, printed.requested.nozzle)
    limit = width * width
    area, where, number = too_narrow(printed.layers(progress.part(0.0, 0.7)), width)
    place = point(where) if area > 0.0 else None
    if area <= limit:
        return Checked(area, limit, place)
    layers = counted(number, "layer")
    return Checked(
        area, limit, place, (new_finding("too_small", area, limit, place, width=width, layers=layers),)
    )


SMALL_FEATURES = Check("too_small", "Small features", ("layer_height", "line_width", "nozzle"), _look)
