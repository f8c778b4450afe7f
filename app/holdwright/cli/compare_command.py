"""``holdwright compare``: what a revised sculpt changes of the finished hold."""

import argparse

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import requested_recipe
from holdwright.cli.text_format import count, json_of, strict_code, wrapped
from holdwright.joint.cautions import CAUTIONS
from holdwright.pipeline.comparison import Found
from holdwright.pipeline.revision_compare import Lying, RevisionCompared, compare_sculpts, plain_comparison
from holdwright.printable import printable
from holdwright.progress import Progress


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to compare the holds of two sculpts."""
    recipe, _ = requested_recipe(arguments)
    catalogue = load_catalogue()

    def work(_: int, progress: Progress) -> CommandResult:
        found = compare_sculpts(recipe, arguments.old, arguments.sculpt, catalogue, progress)
        code = strict_code(arguments, [finding for _, finding in found.new.findings])
        if arguments.json:
            content = {"old": arguments.old.name, **plain_comparison(found), "cautions": list(CAUTIONS)}
            return CommandResult(json_of(arguments, None, content), code)
        heading = f"{printable(arguments.old.stem)} to {printable(arguments.sculpt.stem)}"
        return CommandResult("\n".join(_lines(heading, found)), code)

    return work


def _lines(heading: str, found: RevisionCompared) -> list[str]:
    distance = found.distance
    rows = [("", "old", "new", "change"), *((each.name, *each.written) for each in found.comparison.figures)]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = [f"{heading}: {found.comparison.sentence}", *wrapped(f"  {_lying_words(found.lying)}"), ""]
    lines += [
        "  " + "  ".join([row[0].ljust(widths[0]), *(f"{row[n]:>{widths[n]}}" for n in (1, 2, 3))])
        for row in rows
    ]
    lines += [
        "",
        f"  surface   {distance.mean:.2f} mm off on the mean, 95 % of it within {distance.p95:.2f} mm",
        f"            {distance.gained:.2f} mm more at most, {distance.lost:.2f} mm less at most",
        "",
        *_found_lines("gained", found.comparison.gained),
        *_found_lines("lost", found.comparison.lost),
    ]
    return [*lines, "", *wrapped(*CAUTIONS)]


def _lying_words(lying: Lying) -> str:
    scaled = f", {lying.scaled:.4g} times as large" if abs(lying.scaled - 1.0) >= 5e-4 else ""
    if not (scaled or lying.moved_mm >= 0.05 or lying.turned_deg >= 0.05):
        return "The new sculpt lies where the old one lay."
    return f"The new sculpt lay {lying.moved_mm:.1f} mm off, turned {lying.turned_deg:.1f} degrees{scaled}."


def _found_lines(verb: str, found: tuple[Found, ...]) -> list[str]:
    lines = [f"  {count(len(found), 'finding')} {verb}"]
    for step, finding in found:
        lines.append(f"    {finding.severity}, {step}: {finding.message} [{finding.code}]")
    return lines
