"""Gathers what a work sheet says of a replayed recipe."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from holdwright import __version__
from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.hold.feature import Rim
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, sentence_of
from holdwright.joint.advice.holding_findings import verdict
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.joint_verdict import why_not_judged
from holdwright.pipeline.replaying.replay import Replay
from holdwright.printable import printable
from holdwright.printing.allowances import Allowances
from holdwright.printing.estimate_texts import LONG, currency, time_text
from holdwright.printing.part_estimates import all_settings
from holdwright.ranges import Range, alike
from holdwright.sheet.content import DOT, SheetContent, SheetFinding, SheetTable
from holdwright.sheet.drawing import HoldDrawing
from holdwright.sheet.fastening import bolt_table, hole_table
from holdwright.sheet.work_order import WorkOrder
from holdwright.strength.strength_texts import strength_rows

Figures = Mapping[str, Mapping[str, float]]
"""As of `plain_estimates` for one part: by figure, each low, likely and high."""


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
    estimates: Mapping[str, Figures]
    """Of each part; empty where there are none."""
    tabs: int
    """How many corner tabs there are."""
    brim: bool
    """Whether there is a brim."""
    report: str
    """Name of the report's file."""
    day: date


def sheet_content(source: SheetSource, catalogue: Catalogue) -> SheetContent:
    """Gather a sheet's content."""
    hold, replayed = source.replay.hold, source.replay
    cards = replayed.joint.cards if replayed.joint else ()
    drawing, findings = HoldDrawing.of(hold), replayed.findings
    told = verdict(findings) if cards else None
    order = WorkOrder(
        hold,
        source.recipe.print.flat_within,
        {each.code for each in findings},
        any(each.severity == "error" for each in findings),
        cards,
        source.tabs,
        source.brim,
    )
    work = tuple(order.steps())
    said = " ".join(text for _, text in work)
    return SheetContent(
        name=printable(source.name),
        facts=tuple(_facts(source)),
        made=(
            source.day.isoformat(),
            f"recipe {printable(source.recipe_name)}",
            f"digest {source.digest}",
            f"Holdwright {__version__}",
        ),
        drawing=drawing,
        settings=_settings(source, catalogue),
        hardware=bolt_table(cards, told, why_not_judged(hold)),
        size=_size(source),
        holes=hole_table(drawing, cards),
        work=work,
        strength=tuple(strength_rows(replayed.strength)) if replayed.strength else (),
        findings=tuple(told_findings([each for each in findings if each.severity != "note" or each != told])),
        report=printable(source.report),
        cautions=tuple(each for each in replayed.cautions if each not in said),
    )


def _facts(source: SheetSource) -> Iterator[str]:
    yield f"{_size_text(source.allowances.true_size)} on the wall"
    for figures in list(source.estimates.values())[-1:]:
        yield f"{figures['mass_g']['likely']:.0f} g"
        yield f"{time_text(figures['time_s']['likely'])} of printing"
    errors = sum(each.severity == "error" for each in source.replay.findings)
    if errors:
        yield f"{counted(errors, 'error')} among the findings"


def _settings(source: SheetSource, catalogue: Catalogue) -> SheetTable:
    requested = source.recipe.print
    try:
        settings = all_settings(source.replay.hold.solids, requested, catalogue)
    except HoldwrightError as error:
        return SheetTable("Print", (), below=str(error))
    names = list(source.estimates) or list(settings)
    parts = [settings.get(name) for name in names]
    rows = [
        ("Material", *(each.material.name if each else "" for each in parts)),
        ("Infill", *(f"{100.0 * each.infill:.0f} %" if each else "" for each in parts)),
        *_estimate_rows([source.estimates[name] for name in names if source.estimates], currency(requested)),
    ]
    rule = next(iter(settings.values())).rule
    common = DOT.join(
        (
            requested.machine,
            f"nozzle {requested.nozzle:g} mm",
            f"layers {rule.height:g} mm",
            f"lines {rule.width:g} mm wide",
            f"{counted(rule.passes, 'pass', 'passes')}",
            f"solid layers {rule.bottom} below, {rule.top} on top",
            f"filament {requested.filament:g} mm",
        )
    )
    below = "What is likely, and its range: estimates from slices in print size, the time the least sure."
    columns = tuple(name.capitalize() for name in names)
    return SheetTable("Print", tuple(rows), columns, common=common, below=below)


def _estimate_rows(figures: Sequence[Figures], money: str) -> Iterator[tuple[str, ...]]:
    """Write a row for each figure, all of a row rounded alike."""
    if not figures:
        return
    long = max(each["time_s"]["likely"] for each in figures) >= LONG
    side, time_unit = (3600.0, "h") if long else (60.0, "min")
    for title, key, unit, by in (
        ("Mass", "mass_g", "g", 1.0),
        ("Filament", "filament_m", "m", 1.0),
        ("Time", "time_s", time_unit, side),
        ("Cost" if money else "Cost, as priced", "cost", money, 1.0),
    ):
        found = (Range(**each[key]) for each in figures)
        yield title, *alike([Range(each.low / by, each.likely / by, each.high / by) for each in found], unit)


def _size(source: SheetSource) -> SheetTable:
    allowances = source.allowances
    stock = allowances.sanding_stock
    other = [each for each in allowances.in_words if "sanding stock" not in each]
    rows = [
        ("On the wall", _size_text(allowances.true_size)),
        ("As printed", _size_text(allowances.print_size)),
        ("Allowances", "; ".join(other) or "none for shrinkage or holes"),
    ]
    if source.replay.hold.find(Rim):
        rows += [
            ("Sanding stock", f"{stock:g} mm below the finished back" if stock else "none"),
            ("Back", f"flat within {source.recipe.print.flat_within:g} mm (common practice)"),
        ]
    return SheetTable("Size and back", tuple(rows))


def told_findings(findings: Sequence[Finding]) -> Iterator[SheetFinding]:
    """Give the findings in their order; like ones once."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for each in findings:
        alike_by = each.code if each.limit is not None else each.message
        groups.setdefault((each.severity, alike_by), []).append(each)
    for found in groups.values():
        yield SheetFinding(found[0].severity, sentence_of(found), found[0].advice)


def _size_text(size: Sequence[float]) -> str:
    return " \N{MULTIPLICATION SIGN} ".join(f"{each:.1f}" for each in size) + " mm"
