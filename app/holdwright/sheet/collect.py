"""Gathers what a work sheet says of a replayed recipe."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from holdwright import __version__
from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.hold.feature import Bore, Rim, ScrewHole
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.joint.joint_card import JointCard
from holdwright.pipeline.joint_verdict import why_not_judged
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.replay import Replay
from holdwright.printable import printable
from holdwright.printing.allowances import Allowances
from holdwright.printing.part_estimates import all_settings
from holdwright.ranges import Range
from holdwright.sheet.content import SheetContent, SheetFinding, SheetTable
from holdwright.sheet.drawing import HoldDrawing, hole_places
from holdwright.sheet.work_order import flatness, work_order

Estimates = Mapping[str, Mapping[str, Mapping[str, float]]]
"""As of `plain_estimates`, without the settings: by part and figure, each low, likely and high."""


@dataclass(frozen=True, eq=False)
class SheetSource:
    """What a work sheet is made from."""

    name: str
    """Of the hold."""
    recipe: Recipe
    recipe_name: str
    digest: str
    """recipe, recipe_name, digest: as replayed, its name, and its digest."""
    replay: Replay
    allowances: Allowances
    estimates: Estimates
    report: str
    """Name of the report's file."""
    day: date


def sheet_content(source: SheetSource, catalogue: Catalogue) -> SheetContent:
    """Gather a sheet's content."""
    hold, allowances = source.replay.hold, source.allowances
    joint = source.replay.joint
    cards = joint.cards if joint else ()
    across = float(max(allowances.true_size[:2]))
    findings = source.replay.findings
    codes = frozenset(each.code for each in findings)
    return SheetContent(
        name=printable(source.name),
        facts=tuple(_facts(source)),
        made=(
            source.day.isoformat(),
            f"recipe {printable(source.recipe_name)}",
            f"digest {source.digest}",
            f"Holdwright {__version__}",
        ),
        drawing=HoldDrawing.of(hold),
        settings=_settings(source, catalogue),
        hardware=_hardware(hold, cards, why_not_judged(hold)),
        size=_size(source, across),
        work=tuple(work_order(hold, across, codes, cards)),
        findings=tuple(_findings(findings)),
        report=printable(source.report),
        cautions=source.replay.cautions,
    )


def _facts(source: SheetSource) -> Iterator[str]:
    yield f"{_size_text(source.allowances.true_size)} on the wall"
    both = list(source.estimates.values())[-1:]
    for figures in both:
        yield f"{figures['mass_g']['likely']:.3g} g"
        yield f"{_hours(Range(**figures['time_s'])).split(' (')[0]} h of printing"


def _settings(source: SheetSource, catalogue: Catalogue) -> SheetTable:
    requested = source.recipe.print
    try:
        settings = all_settings(source.replay.hold.solids, requested, catalogue)
    except HoldwrightError as error:
        return SheetTable("Print", ((str(error),),))
    names = list(source.estimates) or list(settings)
    parts = [settings.get(name) for name in names]
    rows = [
        ("Material", *(each.material.name if each else "" for each in parts)),
        ("Infill", *(f"{each.infill:.0%}" if each else "" for each in parts)),
    ]
    figures = [source.estimates.get(name, {}) for name in names]
    priced = requested.shell_price is not None or requested.core_price is not None
    for title, key, write in (
        ("Mass, g", "mass_g", _plain),
        ("Filament, m", "filament_m", _plain),
        ("Time, h", "time_s", _hours),
        ("Filament costs" if priced else "Cost, euro", "cost", _plain),
    ):
        if all(key in each for each in figures):
            rows.append((title, *(write(Range(**each[key])) for each in figures)))
    rule = next(iter(settings.values())).rule
    below = (
        f"{requested.machine}; nozzle {requested.nozzle:g} mm, layers {rule.height:g} mm, lines "
        f"{rule.width:g} mm wide, {rule.passes} passes, solid layers {rule.bottom} below and {rule.top} on "
        "top. Figures: likely (range); estimates from slices in print size, time the least sure."
    )
    return SheetTable("Print", tuple(rows), ("", *(name.capitalize() for name in names)), below)


def _hardware(hold: Hold, cards: Sequence[JointCard], why_not: str) -> SheetTable:
    rows: list[tuple[str, ...]] = []
    marks = [each.mark for each in hole_places(hold)]
    for mark, card in zip(marks, cards, strict=False):
        one = f"{mark} " if len(cards) > 1 else ""
        rows += [(f"{one}{title}", text) for title, text in _bolt(card)]
    if not cards:
        rows += [(f"Bolt {mark}", bore.screw) for mark, bore in zip(marks, hold.find(Bore), strict=False)]
        why_not = why_not or "The joint could not be judged; see the findings."
    screws = hold.find(ScrewHole)
    if screws:
        lengths = sorted({each.length for card in cards[:1] for each in card.existing_screws})
        long = f", at least {' and '.join(f'{each:g}' for each in lengths)} mm long" if lengths else ""
        rows.append(("Wood screws", f"{len(screws)} \N{MULTIPLICATION SIGN} {screws[0].screw}{long}"))
    return SheetTable("Bolt and screws", tuple(rows), below="" if cards else why_not)


def _bolt(card: JointCard) -> Iterator[tuple[str, str]]:
    hardware, conditions, window = card.hardware, card.conditions, card.window
    yield "Bolt", f"{card.bolt_name}, {hardware.strength.name}"
    yield "Washer", hardware.washer.name if hardware.washer else "none"
    yield "T-nut", f"{hardware.t_nut.name}; {conditions.panel.name}"
    yield "Key", f"{hardware.screw.key:g} mm, {card.tool_reach.value or 0.0:.0f} mm into the hold"
    span = window.range
    found = f"{span[0]:.1f} to {span[1]:.1f} N m" if span else "none that is enough"
    yield "Torque", f"{conditions.torque:g} N m; window {found}"


def _size(source: SheetSource, across: float) -> SheetTable:
    allowances, hold = source.allowances, source.replay.hold
    rows = [
        ("On the wall", _size_text(allowances.true_size)),
        ("As printed", _size_text(allowances.print_size)),
        ("Allowances", "; ".join(allowances.in_words) or "none"),
    ]
    if hold.find(Rim):
        rows += [
            ("Sanding stock", f"{allowances.sanding_stock:g} mm" if allowances.sanding_stock else "none"),
            ("Flat within", f"{flatness(across):.1f} mm (common practice)"),
        ]
    rows += [(f"Hole {each.mark}", each.what) for each in hole_places(hold)]
    return SheetTable("Size and back", tuple(rows))


def _findings(findings: Sequence[Finding]) -> Iterator[SheetFinding]:
    """Give the findings in their order; equal sentences once."""
    for found in dict.fromkeys((each.severity, each.message, each.advice) for each in findings):
        yield SheetFinding(*found)


def _size_text(size: Sequence[float]) -> str:
    return " \N{MULTIPLICATION SIGN} ".join(f"{each:.1f}" for each in size) + " mm"


def _plain(value: Range) -> str:
    low, likely, high = (f"{float(f'{each:.3g}'):g}" for each in (value.low, value.likely, value.high))
    return f"{likely} ({low} to {high})"


def _hours(value: Range) -> str:
    return Range.by(lambda seconds: seconds / 3600.0, value).in_words
