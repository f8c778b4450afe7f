"""How far corners may lift from the bed as a part cools."""

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.layers.bed_contact import bed_contact
from holdwright.geometry.measure.sections import section
from holdwright.hold.finding import Finding, Point, point
from holdwright.hold.finding_builder import counted, in_cm2, new_finding
from holdwright.printing.warp import SOME, Warp, warp


def _look(printed: PrintedHold) -> Checked:
    found = {name: _warp(printed, name) for name in printed.parts}
    part, worst = max(found.items(), key=lambda each: each[1].worst.height.likely)
    findings = [_finding(printed, name, each) for name, each in found.items() if each.stock > 0.0]
    contact, lifted = worst.contact, worst.worst
    sharp = [each.corner for each in contact.places if each.corner is not None]
    radius = f", the sharpest of {min(each.radius for each in sharp):.1f} mm" if sharp else ""
    words = (
        f"{part}: {lifted.grade}, {lifted.height.in_words} mm where {lifted.mass:.0f} g stand; base "
        f"{contact.longest:.0f} mm long, {in_cm2(contact.area)}, {counted(len(sharp), 'corner')}{radius}"
    )
    return Checked(lifted.height.likely, SOME, _place(printed, part, worst), tuple(findings), words=words)


def _warp(printed: PrintedHold, part: str, enclosed: bool | None = None) -> Warp:
    solid, settings = printed.parts[part], printed.settings[part]
    bed = float(solid.bounds[0, 2])
    contact = printed.remembered(
        f"bed contact {part}",
        settings.rule.height,
        lambda: bed_contact(solid, section(solid, bed + settings.rule.height / 2.0)),
    )
    return warp(contact, settings, enclosed)


def _finding(printed: PrintedHold, part: str, found: Warp) -> Finding:
    """Say what lifts, and what helps; a note where the back has stock enough to sand it off."""
    height, count = found.worst.height, sum(lift.height.likely >= SOME for lift in found.lifts)
    stock = printed.rim.allowance if printed.rim is not None else 0.0
    covered = stock >= found.stock
    remedies = ["corner tabs", "a brim of 5 to 10 mm"]
    if not printed.settings[part].machine.enclosed:
        warm = _warp(printed, part, enclosed=True).worst.height.likely
        remedies.append(f"an enclosed printer ({warm:.1f} mm)")
    return new_finding(
        "corner_lift:covered" if covered else "corner_lift",
        height.likely,
        where=_place(printed, part, found),
        part=part,
        places=counted(count, "corner") if found.worst.at.corner else "the edge",
        range=height.in_words,
        grade=found.worst.grade,
        longest=found.contact.longest,
        stock=stock if covered else found.stock,
        remedies=", ".join(remedies),
    )


def _place(printed: PrintedHold, part: str, found: Warp) -> Point:
    x, y = found.worst.at.place
    return point((x, y, float(printed.parts[part].bounds[0, 2])))


CORNER_LIFT = Check(
    "corner_lift",
    "Corners that lift",
    ("machine", "shell_material", "core_material", "layer_height"),
    _look,
)
