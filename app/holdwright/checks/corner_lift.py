"""How far corners may lift from the bed as a part cools."""

import math
from collections.abc import Iterator
from typing import Final

from holdwright.checks.check import Check, Checked, Proposal
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.layers.bed_contact import BedContact, base_outlines, bed_contact
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import Finding, Point, point
from holdwright.hold.finding_builder import counted, in_cm2, new_finding
from holdwright.hold.hold import CORE
from holdwright.printing.print_settings import PartSettings
from holdwright.printing.warp import SOME, Warp, warp
from holdwright.progress import Progress

BRIMS: Final = {"little": 5.0, "some": 5.0, "much": 10.0}
"""Width of the brim proposed, by grade, mm: common practice, no source."""

MOST_RIM: Final = 10.0
"""No rim is proposed that is higher by more, mm: our choice."""


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    progress.report(0.0, "measuring how it stands on the bed")
    found = warp(_contact(printed), _settings(printed))
    contact, lifted = found.contact, found.worst
    sharp = [each.corner for each in contact.places if each.corner is not None]
    radius = f", the sharpest of {min(each.radius for each in sharp):.1f} mm" if sharp else ""
    words = (
        f"{lifted.grade}, {lifted.height.in_words} mm where {lifted.mass:.0f} g stand; base "
        f"{contact.longest:.0f} mm long, {in_cm2(contact.area)}, {counted(len(sharp), 'corner')}{radius}; "
        f"shrinks by {100.0 * found.shrinkage.likely:.2g} %"
    )
    findings = (_finding(printed, found),) if found.stock > 0.0 else ()
    place, proposal = _place(printed, found), _proposal(printed, found)
    return Checked(lifted.height.likely, SOME, place, findings, words=words, proposal=proposal)


def _settings(printed: PrintedHold) -> PartSettings:
    """Give how what lifts is printed: the shell, round the core."""
    return next(each for name, each in printed.settings.items() if name != CORE)


def _contact(printed: PrintedHold) -> BedContact:
    height, parts = printed.requested.layer_height, tuple(printed.parts.values())

    def measure() -> BedContact:
        surface = Mesh.joined([each.mesh for each in parts])
        return bed_contact(surface, base_outlines(parts, printed.bed + height / 2.0))

    return printed.remembered("bed contact", height, measure)


def _finding(printed: PrintedHold, found: Warp) -> Finding:
    """Say what lifts, and what helps; a note where the back has stock enough to sand it off."""
    height, count = found.worst.height, sum(lift.height.likely >= SOME for lift in found.lifts)
    stock = printed.rim.allowance if printed.rim is not None else 0.0
    covered = stock >= found.stock
    return new_finding(
        "corner_lift:covered" if covered else "corner_lift",
        height.likely,
        where=_place(printed, found),
        places=counted(count, "corner") if found.worst.at.corner else "the edge",
        range=height.in_words,
        grade=found.worst.grade,
        longest=found.contact.longest,
        stock=stock if covered else found.stock,
        remedies=", ".join(_remedies(printed, found)),
    )


def _proposal(printed: PrintedHold, found: Warp) -> Proposal | None:
    """Propose stock to be sanded off, where there is a back that has less."""
    if printed.rim is None or printed.rim.allowance >= found.stock:
        return None
    return Proposal("trim_base", "allowance", found.stock, f"Leave {found.stock:g} mm for sanding")


def _remedies(printed: PrintedHold, found: Warp) -> Iterator[str]:
    """Give what holds it down, each with its figure."""
    settings, worst = _settings(printed), found.worst
    if worst.at.corner:
        yield "corner tabs"
    yield f"a brim of {BRIMS[worst.grade]:g} mm"
    if not settings.machine.enclosed:
        warm = warp(found.contact, settings, enclosed=True).worst.height.likely
        yield f"an enclosed printer ({warm:.1f} mm)"
    # What is higher bends less, by as much.
    higher = worst.at.height * (worst.height.likely / SOME - 1.0)
    if printed.rim is not None and higher <= MOST_RIM:
        yield f"a rim of {math.ceil(printed.rim.height + higher):.0f} mm"


def _place(printed: PrintedHold, found: Warp) -> Point:
    return point((*found.worst.at.place, printed.bed))


CORNER_LIFT = Check(
    "corner_lift",
    "Corners that lift",
    ("machine", "shell_material", "layer_height"),
    _look,
)
