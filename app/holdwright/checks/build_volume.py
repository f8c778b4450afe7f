"""Whether the hold fits into the printer, turned about the normal of the wall where that helps."""

import numpy as np

from holdwright.catalogue.machines import Machine
from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.measure.bed_fit import BedFit, turn_to_fit
from holdwright.hold.finding_builder import new_finding
from holdwright.printing.allowances import in_print_size
from holdwright.progress import Progress


def machine_of(printed: PrintedHold) -> Machine:
    """Give what the hold is printed on: one machine for all its parts."""
    return next(iter(printed.settings.values())).machine


def fit_on_bed(printed: PrintedHold) -> BedFit:
    """Find how all parts together, in print size and in place, lie on the bed of the printer."""
    parts = in_print_size(printed.parts, printed.allowances).values()
    return turn_to_fit(
        np.concatenate([solid.vertices[:, :2] for solid in parts]), machine_of(printed).volume[:2]
    )


def _look(printed: PrintedHold, _: Progress) -> Checked:
    fit, machine = fit_on_bed(printed), machine_of(printed)
    sizes = (fit.width, fit.depth, printed.allowances.print_size[2])
    used = max(100.0 * size / room for size, room in zip(sizes, machine.volume, strict=True))
    size = " x ".join(f"{each:.1f}" for each in sizes)
    room = " x ".join(f"{each:g}" for each in machine.volume)
    if used > 100.0:
        found = new_finding("beyond_printer", used, size=size, room=room, machine=machine.name)
        return Checked(used, 100.0, findings=(found,))
    turned = f"turned by {fit.turn:.0f} degrees" if fit.turn else "as it stands on the wall"
    return Checked(used, 100.0, words=f"{size} mm as printed, {turned}")


BUILD_VOLUME = Check(
    "beyond_printer", "Build volume", ("machine", "shrinkage", "shell_material", "core_material"), _look
)
