"""What may go wrong as a hold is printed, one check a file."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from holdwright.checks.bridges import BRIDGES
from holdwright.checks.build_volume import BUILD_VOLUME
from holdwright.checks.check import Check, Checked
from holdwright.checks.core_cover import CORE_COVER
from holdwright.checks.corner_lift import CORNER_LIFT
from holdwright.checks.finger_traps import FINGER_TRAPS
from holdwright.checks.flatness import FLATNESS
from holdwright.checks.islands import ISLANDS
from holdwright.checks.least_wall import WALL
from holdwright.checks.letters import LETTERS
from holdwright.checks.overhang import OVERHANG
from holdwright.checks.printed_hold import PrintedHold
from holdwright.checks.sharp_edges import SHARP_EDGES
from holdwright.checks.small_features import SMALL_FEATURES
from holdwright.progress import SILENT, Progress

CHECKS: Final[tuple[Check, ...]] = (
    BUILD_VOLUME,
    FLATNESS,
    WALL,
    SMALL_FEATURES,
    LETTERS,
    CORE_COVER,
    OVERHANG,
    BRIDGES,
    ISLANDS,
    CORNER_LIFT,
    SHARP_EDGES,
    FINGER_TRAPS,
)
"""In the order in which they are told."""


def run_checks(printed: PrintedHold, progress: Progress = SILENT) -> Iterator[tuple[Check, Checked]]:
    """Answer every check, from memory where solids and settings are those of the time before.

    Raises
    ------
    GeometryError
        When a part cannot be measured.
    Cancelled
        When the progress requests it.
    """
    for number, check in enumerate(CHECKS):
        stretch = progress.part(number / len(CHECKS), (number + 1) / len(CHECKS))
        stretch.report(0.0, f"checking the print: {check.title.lower()}")
        made_from = printed.values(check.uses)
        yield check, printed.remembered(check.code, made_from, partial(check.look, printed, stretch))
    progress.report(1.0, "checked")
